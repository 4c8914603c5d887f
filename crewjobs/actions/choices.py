"""Where one visit of a draft could be, and what would have to be otherwise for a day to take it.

Reads only.
"""

import datetime as dt
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from crewjobs import snapshots
from crewjobs.actions import drafts, log, planner_words
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain.scheduling import Costs, CrewDay, Move, Reason, explain, remedies, room
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.build import draft_of
from crewjobs.domain.scheduling.remedies import Change
from crewjobs.models import Person, Plan, PlanStatus


def as_driving_min(cost: int) -> int:
    """A cost as so many minutes of driving, which people can picture."""
    return round(cost / Costs().drive)


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """One crew's day for the visit."""

    crew: str
    crew_name: str
    day: dt.date
    starts_at: dt.datetime | None
    extra_cost: int | None
    """In tenths of a minute of driving; None where it may not go."""
    reasons: tuple[Mapping[str, object], ...]
    in_short: str
    """The first of them, where there is no room for sentences."""

    @property
    def is_allowed(self) -> bool:
        """Whether the visit may go there."""
        return not self.reasons

    @property
    def extra_min(self) -> int:
        """What it adds, as minutes of driving."""
        return as_driving_min(self.extra_cost or 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """One thing to be done otherwise, in words and as data."""

    code: str
    message: str
    crew: str | None
    day: dt.date | None
    visit: UUID | None
    fields: Mapping[str, object]
    """What the crew's day, or else the visit, would have to be."""
    to_crew: str | None
    to_day: dt.date | None
    """Where the other visit would go."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """Changes that together let a crew's day take the visit."""

    crew: str
    crew_name: str
    day: dt.date
    starts_at: dt.datetime
    extra_cost: int
    changes: tuple[Said, ...]

    @property
    def extra_min(self) -> int:
        """What it adds, as minutes of driving."""
        return as_driving_min(self.extra_cost)


@dataclass(frozen=True, kw_only=True, slots=True)
class Mover:
    """Another visit that would have to move."""

    visit: UUID
    name: str
    crew_before: str
    before_at: dt.datetime | None
    crew_after: str
    after_at: dt.datetime | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """What it takes to have the visit on a crew's day."""

    extra_cost: int
    moves: tuple[Mover, ...]


def cells(*, plan_id: UUID, visit_id: UUID, by: Person) -> list[Cell]:
    """Every crew's day for a visit of a draft, the others kept as they are.

    Raises
    ------
    ConflictError
        If the plan is no draft.
    InvalidError
        If the visit cannot be planned in its days.
    """
    asked = _Asked(plan_id, by)
    found = explain.cells_of(
        asked.draft.problem, asked.draft.schedule, visit=asked.name_of(visit_id)
    )
    return [asked.cell(each) for each in found]


def ways(*, plan_id: UUID, visit_id: UUID, by: Person) -> list[Way]:
    """The smallest sets of changes that would place a visit, fewest and cheapest first.

    Raises
    ------
    ConflictError, InvalidError
        As :func:`cells`.
    """
    asked = _Asked(plan_id, by)
    found = remedies.remedies(
        asked.draft.problem, asked.draft.schedule, visit=asked.name_of(visit_id)
    )
    return asked.ways(found)


def cheapest_ways(*, plan_id: UUID, visits: Collection[UUID], by: Person) -> dict[UUID, Way]:
    """For each of some visits without a place the cheapest of the smallest sets of changes.

    Raises
    ------
    ConflictError
        As :func:`cells`.
    """
    asked = _Asked(plan_id, by)
    board = Board(asked.draft.problem)
    draft = draft_of(board, asked.draft.schedule)
    known = {pk: board.visit_number[str(pk)] for pk in visits if str(pk) in board.visit_number}
    found = {pk: asked.ways(remedies.found(board, draft, n)) for pk, n in known.items()}
    return {pk: best[0] for pk, best in found.items() if best}


def make_room(
    *, plan_id: UUID, visit_id: UUID, crew_id: UUID, day: dt.date, by: Person
) -> Room | None:
    """Who would have to move for a visit to be on a crew's day; None if no few moves do.

    Raises
    ------
    ConflictError, InvalidError
        As :func:`cells`, or if the crew does not work on that day.
    """
    asked = _Asked(plan_id, by)
    name = asked.name_of(visit_id)
    if (str(crew_id), day) not in asked.days:
        raise InvalidError({"/crew": "this crew does not work on that day of the plan"})
    draft = asked.draft
    found = room.room(draft.problem, draft.schedule, visit=name, crew=str(crew_id), day=day)
    if found is None:
        return None
    return Room(extra_cost=found.extra_cost, moves=tuple(asked.mover(m) for m in found.moves))


class _Asked:
    """A draft that somebody asks about, and what people call what is in it."""

    def __init__(self, plan_id: UUID, by: Person) -> None:
        log.require(by, "plan.make")
        plan = Plan.objects.get(pk=plan_id)
        if plan.status != PlanStatus.DRAFT:
            raise ConflictError(f"plan {plan.version} is {plan.status}")
        self.draft, self.from_at = drafts.read(plan), drafts.from_at(plan)
        self.names = planner_words.names_of_all()
        self.days: Mapping[tuple[str, dt.date], CrewDay] = {
            (each.crew, each.day): each for each in self.draft.problem.crew_days
        }

    def name_of(self, visit_id: UUID) -> str:
        """What the planner calls the visit."""
        name = str(visit_id)
        if name in self.draft.held:
            raise InvalidError({"/visit": "this visit has begun, or its crew is on the way to it"})
        if name not in {each.id for each in self.draft.problem.visits}:
            raise InvalidError({"/visit": "this visit cannot be planned in these days"})
        return name

    def cell(self, cell: explain.Cell) -> Cell:
        """One crew's day, said."""
        return Cell(
            crew=cell.crew,
            crew_name=self.names.get(cell.crew, cell.crew),
            day=cell.day,
            starts_at=self._moment(cell.day, cell.start_min),
            extra_cost=None if cell.reasons else cell.extra_cost,
            reasons=tuple(planner_words.shown(each, self.names) for each in cell.reasons),
            in_short=self._in_short(cell.reasons),
        )

    def ways(self, found: Iterable[remedies.Remedy]) -> list[Way]:
        """What would place the visit, without what begins before a running day is planned from."""
        ways = (self._way(each) for each in found)
        return [way for way in ways if self.from_at is None or way.starts_at >= self.from_at]

    def _way(self, way: remedies.Remedy) -> Way:
        at = self.days[way.to.crew, way.to.day]
        return Way(
            crew=at.crew,
            crew_name=self.names.get(at.crew, at.crew),
            day=at.day,
            starts_at=self.draft.week.moment(at.day, way.to.start_min or 0),
            extra_cost=way.extra_cost,
            changes=tuple(self._said(each, at) for each in way.changes),
        )

    def mover(self, move: Move) -> Mover:
        """One visit that moves, said."""
        visit_id, before, after = snapshots.visit_id(move.visit), move.before, move.after
        return Mover(
            visit=visit_id,
            name=self.names.get(str(visit_id), move.visit),
            crew_before=self.names.get(before.crew, before.crew) if before else "",
            before_at=self._moment(before.day, before.start_min) if before else None,
            crew_after=self.names.get(after.crew, after.crew) if after else "",
            after_at=self._moment(after.day, after.start_min) if after else None,
        )

    def _said(self, change: Change, at: CrewDay) -> Said:
        return Said(
            code=change.code,
            message=planner_words.change_in_words(change, at, self.names),
            crew=change.crew or None,
            day=change.day,
            visit=snapshots.visit_id(change.visit) if change.visit else None,
            fields={name: planner_words.plain(value) for name, value in change.fields.items()},
            to_crew=change.to.crew if change.to else None,
            to_day=change.to.day if change.to else None,
        )

    def _in_short(self, reasons: Collection[Reason]) -> str:
        first = next(iter(reasons), None)
        return planner_words.in_short(first) if first else ""

    def _moment(self, day: dt.date, minute: int | None) -> dt.datetime | None:
        return None if minute is None else self.draft.week.moment(day, minute)
