"""Reasons by hand, and that they are true: what they ask for places the visit."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    After,
    Reason,
    Slot,
    Window,
    Wish,
    after_iterations,
    moved,
    solve,
    verify,
    why_not,
    why_unplaced,
)
from crewjobs.domain.scheduling.explain import cells_of
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, visit


def plan_of(problem):
    return solve(problem, seed=1, stop=after_iterations(30))


def only_reason(problem, name: str = "v") -> Reason:
    """The reason why the plan leaves a visit out, of which there must be one."""
    plan = plan_of(problem)
    (left,) = [left for left in plan.unplaced if left.visit == name]
    reason: Reason
    (reason,) = left.reasons
    assert why_unplaced(problem, plan, visit=name) == (reason,)
    return reason


@pytest.mark.parametrize(
    ("fields", "code", "numbers", "words"),
    [
        ({"hands": 4}, "too_few_hands", (4, 2), "needs 4 hands, crew A has 2"),
        ({"skills": frozenset({"sink"})}, "skill_missing", (None, None), "sink"),
        ({"mass_kg": 1000.4}, "over_payload", (1001, 1000), "1001 kg"),
        ({"longest_piece_mm": 3300.0}, "piece_too_long", (3300, 3200), "3300 mm"),
        ({"load_thickness_mm": 700.0}, "frame_full", (700, 600), "700 mm"),
        ({"ready_on": day(5)}, "not_ready", (None, None), "2030-01-12"),
        ({"lock": Slot(crew="Z", day=day(0))}, "locked_elsewhere", (None, None), "locked"),
        ({"duration_min": 600}, "too_long_for_shift", (1130, 1080), "18:50"),
        (
            {"windows": (Window(day=day(0), latest_min=480),)},
            "too_late_there",
            (490, 480),
            "8:10",
        ),
    ],
)
def test_a_broken_rule_is_named_with_its_numbers(fields, code, numbers, words):
    reason = only_reason(boards.problem([crew_day()], [visit(x=10, **fields)]))
    assert (reason.code, (reason.needs, reason.has)) == (code, numbers)
    assert words in reason.message
    assert (reason.crew, reason.day) == ("A", day(0))


@pytest.mark.parametrize("windows", [(), (Window(day=day(9)),)])
def test_a_visit_without_an_hour_blames_no_single_day(windows):
    reason = only_reason(boards.problem([crew_day()], [visit(windows=windows)]))
    assert (reason.code, reason.crew, reason.day) == ("no_window", "", None)


def test_the_nearest_miss_is_told_rather_than_every_miss():
    window = (Window(day=day(1)),)
    crews = [crew_day(on=0), crew_day(on=1), crew_day("B", on=1, hands=3)]
    reason = only_reason(boards.problem(crews, [visit(hands=4, windows=window)]))
    assert (reason.code, reason.has, reason.crew) == ("too_few_hands", 3, "B")


def test_all_broken_rules_of_a_crew_day_are_told_at_once():
    problem = boards.problem([crew_day()], [visit(hands=4, mass_kg=2000, ready_on=day(3))])
    found = why_not(problem, plan_of(problem), visit="v", crew="A", day=day(0))
    assert {reason.code for reason in found} == {"too_few_hands", "over_payload", "not_ready"}


@pytest.mark.parametrize(
    ("code", "there", "fields"),
    [
        ("payload_full", {"mass_kg": 600}, {"mass_kg": 500}),
        ("frame_day_full", {"load_thickness_mm": 400}, {"load_thickness_mm": 300}),
        ("no_time", {"duration_min": 400}, {"duration_min": 400}),
        (
            "no_order",
            {"windows": (Window(day=day(0), earliest_min=600, latest_min=600),)},
            {"windows": (Window(day=day(0), earliest_min=600, latest_min=600),)},
        ),
    ],
)
def test_a_full_day_says_what_it_lacks(code, there, fields):
    both = [visit("there", 10, priority=3, **there), visit("v", 10, **fields)]
    reason = only_reason(boards.problem([crew_day()], both))
    assert reason.code == code
    assert reason.needs is None or reason.has is None or reason.needs > reason.has


def test_a_place_that_costs_more_than_it_is_worth_is_called_too_dear():
    # 280 minutes out and back cost 5,600 in driving, and leaving it out costs 4,000.
    reason = only_reason(boards.problem([crew_day()], [visit(x=250, duration_min=10)]))
    assert (reason.code, reason.needs, reason.has) == ("too_dear", 300 + 10 * 500, 4_000)


def test_a_visit_waits_for_the_one_that_comes_first():
    first = visit("first", hands=9)
    problem = boards.problem([crew_day(on=3)], [first, visit("v", after=After(visit="first"))])
    assert only_reason(problem).code == "waits_for"


def test_a_day_before_the_first_visit_is_out_of_order():
    crews = [crew_day(on=on) for on in range(3)]
    first = visit("first", lock=Slot(crew="A", day=day(1)))
    problem = boards.problem(crews, [first, visit("v", after=After(visit="first"))])
    (reason,) = why_not(problem, plan_of(problem), visit="v", crew="A", day=day(0))
    assert reason.code == "out_of_order"


def test_a_day_off_is_a_reason():
    problem = boards.problem([crew_day()], [visit()])
    (reason,) = why_not(problem, plan_of(problem), visit="v", crew="A", day=day(1))
    assert reason.code == "day_off"


def test_nothing_speaks_against_where_a_visit_is():
    problem = boards.random_problem(3, Shape(crews=2, days=3, visits=12))
    plan = plan_of(problem)
    for stop in plan.placed:
        assert why_not(problem, plan, visit=stop.visit, crew=stop.crew, day=stop.day) == ()


def test_an_unknown_visit_is_refused():
    problem = boards.problem([crew_day()], [])
    with pytest.raises(KeyError):
        why_unplaced(problem, plan_of(problem), visit="nobody")


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 3))
def test_a_cell_without_reasons_takes_the_visit_and_one_with_reasons_does_not(seed, afters):
    """All else kept where it is, locked to the cell, the visit finds a place if none speaks up."""
    problem = boards.random_problem(seed, Shape(crews=2, days=3, visits=12, afters=afters))
    plan = solve(problem, seed=1, stop=after_iterations(3))
    for left in plan.unplaced:
        assert left.reasons
        for at in problem.crew_days:
            speaks = why_not(problem, plan, visit=left.visit, crew=at.crew, day=at.day)
            lock = Slot(crew=at.crew, day=at.day)
            visits = tuple(
                replace(v, lock=lock) if v.id == left.visit else v for v in problem.visits
            )
            locked = replace(problem, visits=visits)
            trial = solve(locked, seed=1, stop=after_iterations(0), warm=plan)
            assert verify(locked, trial) == ()
            assert (left.visit in boards.slots(trial)) == (not speaks)


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 3))
def test_a_cell_names_the_cost_and_the_start_that_the_planner_comes_to(seed, afters):
    problem = boards.random_problem(seed, Shape(crews=2, days=3, visits=12, afters=afters))
    plan = solve(problem, seed=1, stop=after_iterations(3))
    for left in plan.unplaced:
        for cell in cells_of(problem, plan, visit=left.visit):
            where = {"crew": cell.crew, "day": cell.day}
            assert cell.reasons == why_not(problem, plan, visit=left.visit, **where)
            if cell.reasons:
                assert (cell.extra_cost, cell.start_min) == (None, None)
                continue
            put = moved(problem, plan, Wish(visit=left.visit, to=Slot(**where)))
            assert verify(problem, put) == ()
            assert boards.slots(put)[left.visit][2] == cell.start_min
            routes = [each.cost.total - each.cost.unplaced for each in (plan, put)]
            assert cell.extra_cost == routes[1] - routes[0]


def test_every_broken_rule_is_told_those_of_the_full_day_too():
    there = visit("there", 10, mass_kg=600, duration_min=400, priority=3)
    asks = {"hands": 4, "mass_kg": 500, "duration_min": 400}
    problem = boards.problem([crew_day()], [there, visit("v", 10, **asks)])
    found = why_not(problem, plan_of(problem), visit="v", crew="A", day=day(0))
    numbers = {reason.code: (reason.needs, reason.has) for reason in found}
    assert numbers == {
        "too_few_hands": (4, 2),
        "payload_full": (1100, 1000),
        "no_time": (820, 570),
    }


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_relaxing_the_named_rule_removes_the_reason(seed):
    problem = boards.random_problem(seed, Shape(crews=2, days=3, visits=10))
    plan = plan_of(problem)
    relaxed = {
        "too_few_hands": {"hands": 1},
        "skill_missing": {"skills": frozenset()},
        "piece_too_long": {"longest_piece_mm": 0.0},
        "over_payload": {"mass_kg": 0.0},
        "not_ready": {"ready_on": None},
        "no_window": {"windows": None},
        "too_late_there": {"windows": None},
    }
    for left in plan.unplaced:
        for reason in left.reasons:
            visits = tuple(
                replace(v, **relaxed.get(reason.code, {})) if v.id == left.visit else v
                for v in problem.visits
            )
            if reason.code in relaxed and reason.day is not None:
                easier = replace(problem, visits=visits)
                still = why_not(easier, plan, visit=left.visit, crew=reason.crew, day=reason.day)
                assert reason.code not in {each.code for each in still}
