"""Where one visit of a draft could be, and what would have to be otherwise for a day to take it.

Reads only.
"""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from crewjobs import snapshots
from crewjobs.actions import log, plans
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain.scheduling import Schedule, explain, remedies, room
from crewjobs.models import Person, Plan, PlanStatus
from crewjobs.snapshots import Week


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """One crew's day for the visit."""

    crew: str
    crew_name: str
    day: dt.date
    starts_at: dt.datetime | None
    extra_cost: int | None
    """In tenths of a minute of driving; None where it may not go."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """Changes that together let a crew's day take the visit."""

    crew: str
    crew_name: str
    day: dt.date
    extra_cost: int
    changes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Mover:
    """Another visit that would have to move."""

    visit: UUID
    name: str
    crew_before: str
    day_before: dt.date | None
    crew_after: str
    day_after: dt.date | None


def choices(*, plan_id: UUID, visit_id: UUID, by: Person) -> list[Choice]:
    """Every crew's day for a visit of a draft, the others kept as they are.

    Raises
    ------
    ConflictError
        If the plan is no draft of days to come.
    InvalidError
        If the visit cannot be planned in its days.
    """
    week, schedule, name = _asked(plan_id, visit_id, by)
    names = plans.names_of_all()
    return [
        Choice(
            crew=cell.crew,
            crew_name=names.get(cell.crew, cell.crew),
            day=cell.day,
            starts_at=None if cell.start_min is None else week.moment(cell.day, cell.start_min),
            extra_cost=None if cell.reasons else cell.extra_cost,
            reasons=tuple(plans.in_words(each.message, names) for each in cell.reasons),
        )
        for cell in explain.cells_of(week.problem, schedule, visit=name)
    ]


def ways(*, plan_id: UUID, visit_id: UUID, by: Person) -> list[Way]:
    """The smallest sets of changes that would place a visit, fewest and cheapest first.

    Raises
    ------
    ConflictError, InvalidError
        As :func:`choices`.
    """
    week, schedule, name = _asked(plan_id, visit_id, by)
    names = plans.names_of_all()
    return [
        Way(
            crew=each.to.crew,
            crew_name=names.get(each.to.crew, each.to.crew),
            day=each.to.day,
            extra_cost=each.extra_cost,
            changes=tuple(plans.in_words(change.message, names) for change in each.changes),
        )
        for each in remedies.remedies(week.problem, schedule, visit=name)
    ]


def movers(
    *, plan_id: UUID, visit_id: UUID, crew_id: UUID, day: dt.date, by: Person
) -> list[Mover] | None:
    """Who would have to move for a visit to be on a crew's day; None if no few moves do.

    Raises
    ------
    ConflictError, InvalidError
        As :func:`choices`, or if the crew does not work on that day.
    """
    week, schedule, name = _asked(plan_id, visit_id, by)
    if (str(crew_id), day) not in {(each.crew, each.day) for each in week.problem.crew_days}:
        raise InvalidError({"/crew": "this crew does not work on that day of the plan"})
    found = room.room(week.problem, schedule, visit=name, crew=str(crew_id), day=day)
    if found is None:
        return None
    names = plans.names_of_all()
    return [
        Mover(
            visit=snapshots.visit_id(move.visit),
            name=names.get(str(snapshots.visit_id(move.visit)), move.visit),
            crew_before=names.get(move.before.crew, "") if move.before else "",
            day_before=move.before.day if move.before else None,
            crew_after=names.get(move.after.crew, "") if move.after else "",
            day_after=move.after.day if move.after else None,
        )
        for move in found.moves
    ]


def _asked(plan_id: UUID, visit_id: UUID, by: Person) -> tuple[Week, Schedule, str]:
    """The draft as the planner counts it, and its name for the visit."""
    log.require(by, "plan.make")
    plan = Plan.objects.get(pk=plan_id)
    if plan.status != PlanStatus.DRAFT or plans.from_at(plan) is not None:
        raise ConflictError(f"plan {plan.version} is no draft of days to come")
    week = snapshots.week(plan.first_on, plan.last_on)
    name = next((v.id for v in week.problem.visits if snapshots.visit_id(v.id) == visit_id), None)
    if name is None:
        raise InvalidError({"/visit": "this visit cannot be planned in these days"})
    return week, plans.schedule_of(plan, week), name
