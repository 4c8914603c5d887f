"""Good plans, spoiled one rule at a time: the judge sees each."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.findings import Severity
from crewjobs.domain.scheduling import (
    After,
    Horizon,
    Placed,
    Schedule,
    Slot,
    Unplaced,
    Window,
    after_iterations,
    evaluate,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, visit

FIRST = visit("first", 10)
SECOND = visit("second", 20)


def good(*visits, crew_days=None):
    """A problem and a plan of it that breaks nothing."""
    problem = boards.problem(crew_days or [crew_day()], visits or (FIRST, SECOND))
    plan = solve(problem, seed=1, stop=after_iterations(20))
    assert verify(problem, plan) == ()
    return problem, plan


def codes(problem, plan) -> set[str]:
    return {finding.code for finding in verify(problem, plan)}


def spoiled(plan: Schedule, name: str, **fields) -> Schedule:
    """The plan with one stop changed."""
    stops = tuple(replace(s, **fields) if s.visit == name else s for s in plan.placed)
    return replace(plan, placed=stops)


@pytest.mark.parametrize(
    ("code", "name", "fields"),
    [
        ("no_time_to_drive", "first", {"start_min": 489, "end_min": 549}),
        ("no_time_to_drive", "second", {"start_min": 559, "end_min": 619}),
        ("wrong_drive", "second", {"drive_min": 9}),
        ("wrong_duration", "second", {"end_min": 619}),
        ("wrong_duration", "second", {"start_min": 700, "end_min": 760}),
        ("starts_in_break", "second", {"start_min": 730, "end_min": 810}),
        ("over_overtime", "second", {"start_min": 1001, "end_min": 1061}),
        ("day_off", "second", {"day": day(1)}),
        ("day_off", "second", {"crew": "B"}),
        ("unknown_visit", "second", {"visit": "third"}),
        ("visit_missing", "second", {"visit": "third"}),
        ("visit_twice", "second", {"visit": "first"}),
    ],
)
def test_a_spoiled_stop_is_seen(code, name, fields):
    problem, plan = good()
    assert code in codes(problem, spoiled(plan, name, **fields))


def test_the_last_minute_of_overtime_is_still_allowed():
    problem, plan = good()
    late = spoiled(plan, "second", start_min=1000, end_min=1060)
    assert codes(problem, late) == {"wrong_cost"}


@pytest.mark.parametrize(
    ("code", "fields"),
    [
        ("too_few_hands", {"hands": 3}),
        ("skill_missing", {"skills": frozenset({"template"})}),
        ("over_payload", {"mass_kg": 1001}),
        ("piece_too_long", {"longest_piece_mm": 3201}),
        ("frame_full", {"load_thickness_mm": 601}),
        ("not_ready", {"ready_on": day(1)}),
        ("outside_window", {"windows": (Window(day=day(1)),)}),
        ("outside_window", {"windows": (Window(day=day(0), latest_min=559),)}),
        ("outside_window", {"windows": (Window(day=day(0), earliest_min=561),)}),
        ("lock_broken", {"lock": Slot(crew="B", day=day(0))}),
        ("lock_broken", {"lock": Slot(crew="A", day=day(1))}),
        ("lock_broken", {"lock": Slot(crew="A", day=day(0), start_min=561)}),
        ("out_of_order", {"after": After(visit="first")}),
        ("wrong_cost", {"due_on": day(-1)}),
        ("wrong_cost", {"promise": Slot(crew="B", day=day(0), start_min=560)}),
        ("after_last_day", {"latest_on": day(-1)}),
    ],
)
def test_a_plan_made_before_the_visit_changed_is_seen(code, fields):
    problem, plan = good()
    changed = replace(problem, visits=(FIRST, replace(SECOND, **fields)))
    assert codes(changed, plan) == {code}


@pytest.mark.parametrize(
    ("code", "fields"),
    [
        ("no_time_to_drive", {"shift_start_min": 481}),
        ("over_overtime", {"shift_end_min": 639, "max_overtime_min": 0}),
        ("wrong_cost", {"shift_end_min": 639}),
        ("starts_in_break", {"pause": boards.pause(555, 565)}),
        ("no_time_to_drive", {"pause": boards.pause(550, 560)}),
        ("wrong_duration", {"pause": boards.pause(500, 510)}),
    ],
)
def test_a_plan_made_before_the_shift_changed_is_seen(code, fields):
    problem, plan = good()
    changed = replace(problem, crew_days=(crew_day(**fields),))
    assert code in codes(changed, plan)


@pytest.mark.parametrize(
    ("code", "fields"),
    [
        ("before_horizon", {"horizon": Horizon(day=day(0), start_min=561)}),
        ("no_time_to_drive", {"traffic": boards.RUSH}),
        ("wrong_drive", {"traffic": boards.RUSH}),
    ],
)
def test_a_plan_made_before_the_day_went_on_is_seen(code, fields):
    problem, plan = good()
    assert code in codes(replace(problem, **fields), plan)


def test_a_frozen_visit_with_another_crew_is_seen_unless_it_could_not_stay():
    problem, plan = good()
    told = replace(SECOND, promise=Slot(crew="B", day=day(0), start_min=500))
    soon = replace(problem, visits=(FIRST, told), horizon=Horizon(day=day(0), start_min=501))
    late = spoiled(spoiled(plan, "first", start_min=520, end_min=580), "second", start_min=590,
                   end_min=650)  # fmt: skip
    able = replace(soon, crew_days=(*soon.crew_days, crew_day("B")))
    unable = replace(soon, crew_days=(*soon.crew_days, crew_day("B", hands=1)))
    heavy = replace(unable, visits=(FIRST, replace(told, hands=2)))
    assert codes(able, late) == {"frozen_moved"}
    assert codes(soon, late) == {"wrong_cost"}
    assert codes(heavy, late) == {"wrong_cost"}


def test_territories_and_who_knows_are_part_of_the_cost():
    problem, plan = good()
    away = replace(problem, crew_days=(crew_day(areas=frozenset({"north"})),))
    assert codes(away, plan) == {"wrong_cost"}
    told = replace(SECOND, promise=Slot(crew="A", day=day(0), start_min=560))
    assert codes(replace(problem, visits=(FIRST, told), today=day(0)), plan) == set()


def test_loads_are_added_up_over_the_day():
    heavy = [visit(name, 10, mass_kg=400, load_thickness_mm=200) for name in ("a", "b")]
    problem, plan = good(*heavy)
    light = replace(problem, crew_days=(crew_day(payload_kg=799, frame_thickness_mm=399),))
    assert codes(light, plan) == {"over_payload", "frame_full"}


def test_a_visit_in_both_lists_or_in_none_is_seen():
    problem, plan = good()
    both = replace(plan, unplaced=(Unplaced(visit="first"),))
    assert "visit_twice" in codes(problem, both)
    none = replace(plan, placed=plan.placed[:1])
    assert "visit_missing" in codes(problem, none)


def test_the_later_visit_alone_is_out_of_order():
    later = visit("later", after=After(visit="first"))
    problem, plan = good(FIRST, later, crew_days=[crew_day(on=0), crew_day(on=1)])
    alone = Schedule(
        placed=tuple(stop for stop in plan.placed if stop.visit == "later"),
        unplaced=(Unplaced(visit="first"),),
    )
    assert codes(problem, alone) == {"out_of_order"}


def test_every_finding_stops_and_names_what_it_is_about():
    problem, plan = good()
    findings = verify(problem, spoiled(plan, "second", crew="B"))
    assert all(f.severity is Severity.STOP and f.message and f.source for f in findings)
    assert findings[0].about == "second"


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), data=st.data())
def test_the_judge_agrees_with_the_planner_on_spoiled_random_plans(seed, data):
    """A stop put elsewhere passes the judge only where the planner would allow it too."""
    problem = boards.random_problem(seed, Shape(crews=2, days=2, visits=8))
    plan = solve(problem, seed=1, stop=after_iterations(10))
    if not plan.placed:
        return
    stop = data.draw(st.sampled_from(plan.placed))
    at = data.draw(st.sampled_from(problem.crew_days))
    moved = spoiled(plan, stop.visit, crew=at.crew, day=at.day)
    if codes(problem, moved) <= {"wrong_cost"}:
        board = Board(problem)
        assert evaluate.fits(
            board, board.visit_number[stop.visit], board.crew_day_number[at.crew, at.day]
        )


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), minutes=st.integers(1, 300))
def test_no_stop_could_start_earlier_without_the_judge_seeing_it(seed, minutes):
    """Every stop starts as early as it can, so each of them alone cannot start earlier."""
    problem = boards.random_problem(seed, Shape(crews=2, days=2, visits=8))
    plan = solve(problem, seed=1, stop=after_iterations(10))
    assert verify(problem, plan) == ()
    for stop in plan.placed:
        early = _earlier(stop, minutes)
        assert verify(problem, spoiled(plan, stop.visit, **early)) != ()


def _earlier(stop: Placed, minutes: int) -> dict[str, int]:
    return {"start_min": stop.start_min - minutes, "end_min": stop.end_min - minutes}


def test_a_plan_of_another_week_is_rejected_whole():
    problem, plan = good()
    next_week = [replace(c, day=c.day + timedelta(days=7)) for c in problem.crew_days]
    assert codes(replace(problem, crew_days=tuple(next_week)), plan) == {"day_off"}
