"""What would place a visit, by hand, and that doing it does."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    Slot,
    Window,
    after_iterations,
    solve,
    verify,
    why_not,
)
from crewjobs.domain.scheduling.remedies import applied, remedies
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, slots, visit

NOON = (Window(day=day(0), earliest_min=720, latest_min=780),)
DAWN = (Window(day=day(0), earliest_min=0, latest_min=60),)


def plan_of(problem, iterations: int = 0):
    return solve(problem, seed=1, stop=after_iterations(iterations))


@pytest.mark.parametrize(
    ("fields", "code", "changed"),
    [
        ({"hands": 4}, "too_few_hands", {"hands": 4}),
        ({"skills": frozenset({"sink"})}, "skill_missing", {"skills": frozenset({"sink"})}),
        ({"mass_kg": 1400.0}, "over_payload", {"payload_kg": 1400.0}),
        ({"longest_piece_mm": 3300.0}, "piece_too_long", {"frame_length_mm": 3300.0}),
        ({"load_thickness_mm": 700.0}, "frame_full", {"frame_thickness_mm": 700.0}),
        ({"ready_on": day(5)}, "not_ready", {"ready_on": day(0)}),
        ({"lock": Slot(crew="Z", day=day(0))}, "locked_elsewhere", {"lock": None}),
        # 10 there, 9 h, 10 back from 8:00 to 17:00 with half an hour of break: 50 minutes over.
        ({"duration_min": 540}, "no_time", {"max_overtime_min": 50}),
        ({"windows": DAWN}, "no_window", {"windows": (*DAWN, Window(day=day(0), earliest_min=490,
                                                                   latest_min=490))}),
    ],
)  # fmt: skip
def test_one_broken_rule_asks_for_one_change(fields, code, changed):
    at = crew_day(max_overtime_min=0)
    problem = boards.problem([at], [visit(x=10, **fields)])
    (remedy,) = remedies(problem, plan_of(problem), visit="v")
    (change,) = remedy.changes
    assert (change.code, change.fields) == (code, changed)
    assert remedy.to == Slot(crew="A", day=day(0), start_min=490)
    after, plan = applied(problem, plan_of(problem), remedy)
    assert slots(plan) == {"v": ("A", 0, 490)}
    assert verify(after, plan) == ()


def test_two_broken_rules_ask_for_two_changes():
    problem = boards.problem([crew_day()], [visit(hands=4, mass_kg=1400.0)])
    (remedy,) = remedies(problem, plan_of(problem), visit="v")
    assert [change.code for change in remedy.changes] == ["too_few_hands", "over_payload"]


def test_a_day_that_needs_few_changes_is_told_before_one_that_needs_many():
    crews = [crew_day("A"), crew_day("B", hands=4)]
    problem = boards.problem(crews, [visit(hands=4, mass_kg=1400.0)])
    best = remedies(problem, plan_of(problem), visit="v")[0]
    assert (best.to.crew, [change.code for change in best.changes]) == ("B", ["over_payload"])


def test_one_visit_that_nobody_was_told_of_may_make_room():
    """Both want noon with A; w may come at any time, but B has the hands for w alone."""
    crews = [crew_day("A", hands=3), crew_day("B")]
    there = visit("w", duration_min=400, lock=None)
    late = visit("v", duration_min=300, hands=3, priority=1)
    problem = boards.problem(crews, [there, late])
    plan = plan_of(boards.problem([crews[0]], [there]))
    best = remedies(problem, plan, visit="v")[0]
    (change,) = best.changes
    assert (change.code, change.visit) == ("move", "w")
    assert change.to is not None
    assert change.to.crew == "B"
    after, moved = applied(problem, plan, best)
    assert {name: at[0] for name, at in slots(moved).items()} == {"v": "A", "w": "B"}
    assert verify(after, moved) == ()


def test_a_visit_that_was_told_is_not_asked_to_make_room():
    crews = [crew_day("A", hands=3), crew_day("B")]
    told = visit("w", duration_min=400, promise=Slot(crew="A", day=day(0), start_min=490))
    problem = boards.problem(crews, [told, visit("v", duration_min=300, hands=3)])
    plan = plan_of(problem)
    assert "v" not in slots(plan)
    found = remedies(problem, plan, visit="v")
    assert found
    assert all(change.code != "move" for each in found for change in each.changes)


def test_a_visit_that_would_go_needs_no_change():
    problem = boards.problem([crew_day()], [visit(x=250, duration_min=10)])
    (remedy,) = remedies(problem, plan_of(problem), visit="v")
    assert (remedy.changes, remedy.extra_cost) == ((), 300 + 10 * 500)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 2), load_share=st.sampled_from([0.9, 1.5]))
def test_doing_it_places_the_visit_at_exactly_that_cost(seed, afters, load_share):
    shape = Shape(crews=2, days=3, visits=14, afters=afters, load_share=load_share)
    problem = boards.random_problem(seed, shape)
    plan = plan_of(problem, 3)
    told = boards.published(problem, plan)
    half = {each.id for each in problem.visits[::2]}
    visits = tuple(
        mine if mine.id in half else was
        for mine, was in zip(told.visits, problem.visits, strict=True)
    )
    problem = replace(problem, visits=visits)
    plan = solve(problem, seed=1, stop=after_iterations(0), warm=plan)
    for left in plan.unplaced:
        for remedy in remedies(problem, plan, visit=left.visit):
            after, done = applied(problem, plan, remedy)
            assert verify(after, done) == ()
            crew, on, start_min = slots(done)[left.visit]
            assert Slot(crew=crew, day=day(on), start_min=start_min) == remedy.to
            assert {each.visit for each in done.placed} == {
                left.visit, *(each.visit for each in plan.placed)
            }  # fmt: skip
            routes = [each.cost.total - each.cost.unplaced for each in (plan, done)]
            assert routes[1] - routes[0] == remedy.extra_cost


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_without_one_of_the_changes_the_visit_has_no_place_there(seed):
    shape = Shape(crews=2, days=3, visits=14, load_share=1.3)
    problem = boards.random_problem(seed, shape)
    plan = plan_of(problem, 3)
    for left in plan.unplaced:
        for remedy in remedies(problem, plan, visit=left.visit):
            for skipped in remedy.changes:
                if any(each.to for each in remedy.changes):
                    continue
                fewer = tuple(each for each in remedy.changes if each is not skipped)
                partly, _ = applied(problem, plan, replace(remedy, changes=fewer))
                cell = {"crew": remedy.to.crew, "day": remedy.to.day}
                assert why_not(partly, plan, visit=left.visit, **cell)
