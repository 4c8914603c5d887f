"""Work handed from crew to crew: never dearer, no rule broken, nothing lost."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    After,
    Costs,
    Schedule,
    Unplaced,
    after_iterations,
    evaluate,
    exchange,
    fairness,
    links,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.build import first_draft
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, visit
from tests.domain.scheduling.test_links import with_links

HOURS = {"shift_start_min": 480, "shift_end_min": 880, "pause": None}
CREWS = [crew_day(crew, on, **HOURS) for crew in "AB" for on in (0, 1)]


def board(*visits, uneven=100_000, crews=CREWS) -> Board:
    return Board(boards.problem(crews, visits, costs=Costs(uneven=uneven)))


def hours(*names: str, **fields):
    return [visit(name, 10, duration_min=100, **fields) for name in names]


def test_one_crew_gives_the_other_half_of_its_visits():
    four = board(*hours(*"abcd"))
    work = fairness.work_min(four, exchange.evened(four, {0: (0, 1, 2), 1: (3,)}))
    assert work == {"A": 200, "B": 200}


def test_a_whole_day_is_handed_over():
    four = board(*hours(*"abcd"), uneven=3_000)
    found = exchange.evened(four, {0: (0, 1), 1: (2, 3)})
    assert {four.crew_days[k].crew for k in found} == {"A", "B"}
    assert evaluate.breakdown(four, found).uneven == 0


def test_nothing_is_handed_over_to_a_crew_that_cannot_do_it():
    able = [crew_day("A", skills=frozenset({"sink"}), **HOURS), crew_day("B", **HOURS)]
    four = board(*hours(*"ab", skills=frozenset({"sink"})), crews=able)
    assert exchange.evened(four, {0: (0, 1)}) == {0: (0, 1)}


def test_visits_in_an_order_keep_their_days():
    later = replace(visit("later", 10, duration_min=100), after=After(visit="first"))
    two = board(visit("first", 10, duration_min=100), later)
    found = exchange.evened(two, {0: (0,), 1: (1,)})
    days = evaluate.days_of(two, found)
    assert days[1] > days[0]
    assert fairness.work_min(two, found) == {"A": 100, "B": 100}


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), uneven=st.sampled_from([0, 5_000, 10**6]))
def test_the_plan_is_never_dearer_and_passes_the_judge(seed, uneven):
    problem = with_links(seed, Shape(crews=3, days=3, visits=12, load_share=0.5, afters=2))
    problem = replace(boards.everything(problem, seed), costs=Costs(uneven=uneven))
    at = Board(problem)
    before = first_draft(at, None)
    after = exchange.evened(at, before)
    assert sorted(evaluate.left_out(at, before)) == sorted(evaluate.left_out(at, after))
    assert evaluate.breakdown(at, after).total <= evaluate.breakdown(at, before).total
    assert not links.torn(at, after)
    plan = Schedule(
        placed=evaluate.placements(at, after),
        unplaced=tuple(Unplaced(visit=at.visits[i].id) for i in evaluate.left_out(at, after)),
        cost=evaluate.breakdown(at, after),
    )
    assert verify(problem, plan) == ()


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6), iterations=st.integers(0, 12))
def test_a_plan_that_shares_out_is_no_dearer_than_its_first_draft_evened(seed, iterations):
    problem = boards.random_problem(seed, Shape(crews=3, days=2, visits=9, load_share=0.5))
    problem = replace(problem, costs=Costs(uneven=30_000))
    at = Board(problem)
    first = exchange.evened(at, first_draft(at, None))
    plan = solve(problem, seed=1, stop=after_iterations(iterations))
    assert verify(problem, plan) == ()
    assert plan.cost.total <= evaluate.breakdown(at, first).total
    assert plan.lower_bound is None or plan.lower_bound <= plan.cost.total
    assert plan == solve(problem, seed=1, stop=after_iterations(iterations))


def test_iterations_are_counted_over_both_halves():
    problem = boards.random_problem(3, Shape(crews=3, days=2, visits=9, load_share=0.5))
    seen: list[int] = []

    def stop(progress) -> bool:
        seen.append(progress.iterations)
        return seen[-1] >= 20

    solve(replace(problem, costs=Costs(uneven=30_000)), seed=1, stop=stop)
    assert max(seen) <= 21
