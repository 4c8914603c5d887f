"""Work shared out evenly: the cost by hand, its slope by small steps, the search against all."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    Costs,
    after_iterations,
    evaluate,
    fairness,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, visit
from tests.domain.scheduling.test_links import least_cost

HOURS = {"shift_start_min": 480, "shift_end_min": 880, "pause": None}
EVEN = Costs(uneven=10_000)


def two_crews(*visits, uneven=10_000) -> Board:
    crews = [crew_day(crew, **HOURS) for crew in "AB"]
    return Board(boards.problem(crews, visits, costs=Costs(uneven=uneven)))


def test_the_cost_is_each_crews_squared_distance_from_the_utilisation_of_all():
    # 300 of 400 minutes and 100 of 400: a quarter off the half on either side.
    board = two_crews(visit("long", duration_min=300), visit("short", duration_min=100))
    work = fairness.work_min(board, {0: (0,), 1: (1,)})
    assert work == {"A": 300, "B": 100}
    assert fairness.utilisation_share(board, work) == {"A": 0.75, "B": 0.25}
    assert fairness.cost(board, work) == 2 * 10_000 * 0.25**2
    assert evaluate.breakdown(board, {0: (0,), 1: (1,)}).uneven == 1_250
    assert fairness.spread_share(board, work) == 0.5
    assert fairness.minute_prices(board, work) == pytest.approx({"A": 12.5, "B": -12.5})


def test_nobody_minds_unless_the_shop_does():
    board = two_crews(visit(duration_min=300), uneven=0)
    assert evaluate.breakdown(board, {0: (0,)}).uneven == 0
    assert set(fairness.minute_prices(board, {"A": 300, "B": 0}).values()) == {0.0}


def test_crews_without_shifts_and_boards_without_crews_have_no_spread():
    empty = Board(boards.problem([], []))
    assert fairness.cost(empty, {}) == 0
    assert fairness.spread_share(empty, {}) == 0
    off = crew_day("A", shift_start_min=480, shift_end_min=480)
    board = Board(boards.problem([off, crew_day("B")], [], costs=EVEN))
    assert fairness.cost(board, {"A": 0, "B": 60}) == 0


@given(
    st.lists(st.integers(0, 2_000), min_size=2, max_size=6),
    st.integers(0, 5),
    st.integers(200, 700),
)
def test_the_price_of_a_minute_is_the_slope_of_the_cost(minutes, which, shift):
    crews = [f"crew {n}" for n in range(len(minutes))]
    days = [crew_day(crew, shift_end_min=480 + shift + 10 * n) for n, crew in enumerate(crews)]
    board = Board(boards.problem(days, [], costs=Costs(uneven=10**9)))
    work = dict(zip(crews, minutes, strict=True))
    crew = crews[which % len(crews)]
    up, down = (fairness.cost(board, work | {crew: work[crew] + by}) for by in (1, -1))
    price = fairness.minute_prices(board, work)[crew]
    assert price == pytest.approx((up - down) / 2, rel=1e-6, abs=10)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_the_judge_counts_the_same_unevenness(seed):
    problem = boards.random_problem(seed, Shape(crews=3, days=2, visits=10))
    problem = replace(problem, costs=Costs(uneven=7_919))
    plan = solve(problem, seed=1, stop=after_iterations(10))
    assert verify(problem, plan) == ()
    other = replace(problem, costs=Costs(uneven=10**8))
    if plan.cost.uneven:
        assert [finding.code for finding in verify(other, plan)] == ["wrong_cost"]


def test_the_search_shares_out_what_it_would_else_give_to_one_crew():
    crews = [crew_day(crew, on, **HOURS) for crew in "AB" for on in (0, 1)]
    visits = [visit(f"v{n}", 10 + n, duration_min=90 + 7 * n) for n in range(4)]
    one = boards.problem(crews, visits)
    apart = replace(one, costs=Costs(uneven=20_000))
    alone, shared = (solve(p, seed=1, stop=after_iterations(60)) for p in (one, apart))
    assert verify(apart, shared) == ()
    assert len({stop.crew for stop in alone.placed}) == 1
    assert shared.cost.total == least_cost(apart)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_an_even_plan_is_never_dearer_than_the_one_it_was_made_from(seed):
    problem = boards.random_problem(seed, Shape(crews=2, days=1, visits=4, load_share=0.5))
    problem = replace(problem, costs=Costs(uneven=20_000))
    plan = solve(problem, seed=1, stop=after_iterations(150))
    assert verify(problem, plan) == ()
    first = solve(problem, seed=1, stop=after_iterations(0))
    assert least_cost(problem) <= plan.cost.total <= first.cost.total
