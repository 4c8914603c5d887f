"""What people know costs to change; what starts soon stays; territories. Worked out by hand."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    Horizon,
    Promised,
    Slot,
    after_iterations,
    evaluate,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import crew_day, day, slots, visit

TEN = Slot(crew="A", day=day(0), start_min=600)
WEEK = [crew_day(crew, on) for crew in "AB" for on in range(3)]


def planned(problem):
    plan = solve(problem, seed=1, stop=after_iterations(60))
    assert verify(problem, plan) == ()
    return plan


@pytest.mark.parametrize(
    ("promised", "today", "factor"),
    [
        (Promised.PUBLISHED, None, 1),
        (Promised.TOLD, None, 2),
        (Promised.ACCEPTED, None, 4),
        (Promised.PUBLISHED, 0, 3),
        (Promised.ACCEPTED, 0, 12),
        (Promised.ACCEPTED, 1, 4),
    ],
)
def test_the_more_people_know_the_dearer_a_move(promised, today, factor):
    told = visit(promise=TEN, promised=promised)
    on = None if today is None else day(today)
    board = Board(boards.problem(WEEK, [told], today=on))
    assert evaluate.away_cost(board, 0, board.crew_day_number["B", day(0)]) == 800 * factor
    assert evaluate.away_cost(board, 0, board.crew_day_number["A", day(1)]) == 2_000 * factor
    assert evaluate.moved_cost(board, 0, 0, 660) == 400 * factor
    assert board.price[0] == 4_000 + 20_000 * factor


def test_of_two_that_cannot_both_stay_the_one_moves_that_fewer_know():
    both = [
        visit("known", duration_min=400, promise=TEN, promised=Promised.TOLD),
        visit("unknown", duration_min=400, promise=TEN),
    ]
    found = slots(planned(boards.problem(WEEK, both)))
    assert found["known"][:2] == ("A", 0)
    assert found["unknown"][:2] != ("A", 0)


def test_what_starts_before_the_horizon_keeps_crew_and_day_though_another_is_cheaper():
    soon = visit("soon", 10, promise=Slot(crew="A", day=day(0), start_min=600))
    rival = visit("rival", 10, duration_min=500, priority=3, due_on=day(0))
    problem = boards.problem([crew_day("A", 0), crew_day("B", 0), crew_day("A", 1)], [soon, rival])
    frozen = replace(problem, horizon=Horizon(day=day(0), start_min=601))
    assert slots(planned(frozen))["soon"][:2] == ("A", 0)
    board = Board(frozen)
    assert evaluate.is_frozen(board, 0)
    assert evaluate.broken_rules(board, 0, 1) == ("frozen",)


def test_nothing_new_starts_before_the_horizon():
    problem = boards.problem(
        [crew_day(on=on) for on in range(3)],
        [visit("new", 10)],
        horizon=Horizon(day=day(1), start_min=720),
    )
    assert slots(planned(problem))["new"] == ("A", 1, 750)
    assert evaluate.broken_rules(Board(problem), 0, 0) == ("before_horizon",)


def test_what_starts_soon_and_cannot_stay_is_named_and_moves():
    ill = visit("v", 10, promise=Slot(crew="C", day=day(0), start_min=500))
    heavy = visit("w", 10, hands=3, promise=TEN)
    problem = boards.problem(
        [*WEEK, crew_day("D", hands=3)], [ill, heavy], horizon=Horizon(day=day(0), start_min=660)
    )
    plan = planned(problem)
    assert slots(plan)["v"][2] >= 660
    assert slots(plan)["w"] == ("D", 0, 660)
    named = evaluate.in_trouble(Board(problem))
    assert named == {0: ("day_off",), 1: ("too_few_hands",)}


def test_a_start_that_is_frozen_moves_only_at_a_high_price():
    longer = visit("first", 10, duration_min=300, promise=Slot(crew="A", day=day(0), start_min=490))
    second = visit("second", 10, promise=Slot(crew="A", day=day(0), start_min=600))
    horizon = Horizon(day=day(0), start_min=720)
    plan = planned(
        boards.problem([crew_day("A"), crew_day("B")], [longer, second], horizon=horizon)
    )
    assert slots(plan) == {"first": ("A", 0, 490), "second": ("A", 0, 820)}
    assert plan.cost.moved == 20_000


def test_a_crew_leaves_its_territory_only_where_that_saves_more():
    north, south = frozenset({"north"}), frozenset({"south"})
    crews = [crew_day("A", areas=north), crew_day("B", areas=south)]
    one = boards.problem(crews, [visit("v", areas=south)])
    assert slots(planned(one))["v"][0] == "B"
    assert planned(replace(one, crew_days=one.crew_days[:1])).cost.outside == 300
    near = [visit("v", 30, areas=south), visit("w", 31, areas=north)]
    assert len({slot[0] for slot in slots(planned(boards.problem(crews, near))).values()}) == 1


def test_no_visit_after_its_last_day():
    problem = boards.problem([crew_day(on=on) for on in (1, 2)], [visit(latest_on=day(1))])
    assert slots(planned(problem))["v"][1] == 1
    late = replace(problem, crew_days=problem.crew_days[1:])
    assert evaluate.broken_rules(Board(late), 0, 0) == ("after_last_day",)
    assert planned(late).placed == ()


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_whatever_starts_before_the_horizon_stays_or_is_in_trouble(seed):
    shape = boards.Shape(crews=2, days=3, visits=12)
    problem = boards.everything(boards.random_problem(seed, shape), seed)
    plan, board = planned(problem), Board(problem)
    found = slots(plan)
    for i, each in enumerate(board.visits):
        if each.promise and each.id in found and evaluate.is_frozen(board, i):
            assert found[each.id][:2] == (each.promise.crew, (each.promise.day - day(0)).days)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_nothing_moves_when_nothing_changed_whoever_knows(seed):
    shape = boards.Shape(crews=2, days=3, visits=12)
    problem = boards.everything(boards.random_problem(seed, shape), seed)
    before = planned(replace(problem, horizon=None))
    told = boards.published(replace(problem, horizon=None), before)
    was, found = slots(before), slots(planned(told))
    assert {name: slot[:2] for name, slot in found.items()} == {
        name: slot[:2] for name, slot in was.items()
    }
    assert all(abs(found[name][2] - was[name][2]) <= 30 for name in was)
