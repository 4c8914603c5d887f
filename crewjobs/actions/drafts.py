"""A stored plan as the planner counts it: of days to come, or of what is left of a running day.

Reads only.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from crewjobs import snapshots
from crewjobs.domain import scheduling
from crewjobs.domain.scheduling import Problem, Reason, Schedule, explain
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.build import draft_of
from crewjobs.domain.scheduling.replan import slipped
from crewjobs.domain.scheduling.running import from_now, held_in
from crewjobs.models import Plan
from crewjobs.snapshots import Week
from crewjobs.snapshots.running import Event, running_week

OF_A_RUNNING_DAY = ("from_at", "gone", "without_truck")
"""The figures of a plan that say from when on, and of what event, it is."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """What was put to the planner, and what the plan makes of it."""

    week: Week
    """The days from midnight on."""
    problem: Problem
    """What is planned: of a running day, what is left of it."""
    schedule: Schedule
    held: frozenset[str] = frozenset()
    """What has begun, or must be on its way: it stays, and is no part of the stored plan."""
    before: Schedule | None = None
    """Of a running day: what is published."""


def read(plan: Plan) -> Draft:
    """The plan by the rows of now; of a running day, as it stood when it was planned again."""
    began_at = from_at(plan)
    if began_at is None:
        week = snapshots.week(plan.first_on, plan.last_on)
        return Draft(week=week, problem=week.problem, schedule=schedule_of(plan, week))
    event = Event(
        gone={UUID(c): datetime.fromisoformat(at) for c, at in plan.figures["gone"].items()},
        without_truck=[UUID(crew) for crew in plan.figures["without_truck"]],
    )
    found = running_week(plan.last_on, event, now=began_at)
    left, running = from_now(found.week.problem, found.plan, found.running)
    held = held_in(left)
    stored = schedule_of(plan, replace(found.week, problem=left))
    pinned = tuple(stop for stop in running.placed if stop.visit in held)
    return Draft(
        week=found.week,
        problem=left,
        schedule=replace(
            _without(stored, held),
            placed=(*pinned, *(stop for stop in stored.placed if stop.visit not in held)),
        ),
        held=held,
        before=running,
    )


def from_at(plan: Plan) -> datetime | None:
    """The moment from which a plan of a running day holds; None for a plan of days to come."""
    text = plan.figures.get("from_at")
    return datetime.fromisoformat(text) if text else None


def schedule_of(plan: Plan, week: Week) -> Schedule:
    """The stored plan as the planner counts it."""
    known = {visit.id for visit in week.problem.visits}
    rows = plan.planned.order_by("starts_at", "pk")
    stops = (stop for each in rows for stop in snapshots.stops(week, each))
    placed = tuple(stop for stop in stops if stop.visit in known)
    there = {each.visit for each in placed}
    return Schedule(
        placed=placed,
        unplaced=tuple(scheduling.Unplaced(visit=visit) for visit in sorted(known - there)),
    )


def lost(draft: Draft) -> set[str]:
    """The visits that the plan can no longer have where it says, by the rows of now.

    A start that somebody chose is no other than one that the planner found: where it can stay,
    the visit has not been lost.
    """
    slots = {
        stop.visit: scheduling.Slot(crew=stop.crew, day=stop.day, start_min=stop.start_min)
        for stop in draft.schedule.placed
    }
    visits = tuple(
        replace(visit, promise=slots.get(visit.id, visit.promise)) for visit in draft.problem.visits
    )
    return {*slipped(replace(draft.problem, visits=visits), draft.schedule)} - draft.held


def to_store(draft: Draft, schedule: Schedule) -> Schedule:
    """What of a plan is stored: all but what is held."""
    return _without(schedule, draft.held)


def of_a_running_day(
    draft: Draft, schedule: Schedule, figures: Mapping[str, object]
) -> dict[str, object]:
    """The figures that a plan of a running day keeps when it is changed; else nothing."""
    if draft.before is None:
        return {}
    moves = scheduling.compare(draft.before, schedule)
    return {name: figures[name] for name in OF_A_RUNNING_DAY} | {"moves": len(moves)}


def with_reasons(draft: Draft, schedule: Schedule, *, wish: scheduling.Wish) -> Schedule:
    """The plan changed by hand, with the reasons why its visits have no place in it."""
    taken_out = {stop.visit for stop in draft.schedule.placed} & {wish.visit}
    board = Board(draft.problem)
    why = {each.visit: each.reasons for each in explain.unplaced(board, draft_of(board, schedule))}
    return replace(
        schedule,
        unplaced=tuple(
            replace(
                each,
                reasons=(_TAKEN_OUT,)
                if each.visit in taken_out
                else tuple(_by_hand(why.get(each.visit, each.reasons))),
            )
            for each in schedule.unplaced
        ),
    )


_TAKEN_OUT = Reason(code="taken_out", message="it was taken out by hand")


def _by_hand(reasons: Iterable[Reason]) -> Iterable[Reason]:
    """The reasons; what would go, and cheaply, is said to wait for somebody to put it there."""
    for each in reasons:
        if each.code == "too_dear" and (each.needs or 0) < (each.has or 0):
            text = f"crew {each.crew} could take it on {each.day}; nobody has put it there"
            yield replace(each, code="has_room", message=text, needs=None, has=None)
        else:
            yield each


def _without(schedule: Schedule, held: frozenset[str]) -> Schedule:
    return replace(
        schedule,
        placed=tuple(stop for stop in schedule.placed if stop.visit not in held),
        unplaced=tuple(left for left in schedule.unplaced if left.visit not in held),
    )
