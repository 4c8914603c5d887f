"""Stops of a plan into what rows hold of a visit, and back: a row holds all days of a visit."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from uuid import UUID

from crewjobs.domain.scheduling import Placed
from crewjobs.models import Placement, PlannedVisit
from crewjobs.snapshots.clocks import on_clock
from crewjobs.snapshots.week import Week


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """One visit of a plan as its row holds it: from the first day's start to the last day's end."""

    visit_id: UUID
    crew_id: UUID
    starts_at: dt.datetime
    ends_at: dt.datetime
    drive_min: int
    parts: list[dict[str, object]]
    """The days, if they are more than one."""


def visit_id(name: str) -> UUID:
    """The visit that the planner's name for it, or for one of its days, is about."""
    return UUID(name.partition("#")[0])


def held(week: Week, placed: Iterable[Placed]) -> list[Held]:
    """What rows hold of the stops of a plan, one for each visit."""
    days = defaultdict[UUID, list[Placed]](list)
    for stop in placed:
        days[visit_id(stop.visit)].append(stop)
    return [_held(week, sorted(stops, key=lambda stop: stop.day)) for stops in days.values()]


def _held(week: Week, stops: list[Placed]) -> Held:
    spans = [(week.moment(s.day, s.start_min), week.moment(s.day, s.end_min)) for s in stops]
    parts: list[dict[str, object]] = [
        {
            "starts_at": starts_at.isoformat(),
            "ends_at": ends_at.isoformat(),
            "drive_min": stop.drive_min,
        }
        for stop, (starts_at, ends_at) in zip(stops, spans, strict=True)
    ]
    return Held(
        visit_id=visit_id(stops[0].visit),
        crew_id=UUID(stops[0].crew),
        starts_at=spans[0][0],
        ends_at=spans[-1][1],
        drive_min=stops[0].drive_min,
        parts=parts if len(parts) > 1 else [],
    )


def stops(week: Week, row: PlannedVisit | Placement) -> Iterator[Placed]:
    """The planner's stops of a row, one for each of its days."""
    whole = {"starts_at": row.starts_at, "ends_at": row.ends_at, "drive_min": row.drive_min}
    for number, part in enumerate(row.parts or [whole], start=1):
        day, start_min = on_clock(_moment(part["starts_at"]), week.zone)
        end_day, end_min = on_clock(_moment(part["ends_at"]), week.zone)
        yield Placed(
            visit=str(row.visit_id) if number == 1 else f"{row.visit_id}#{number}",
            crew=str(row.crew_id),
            day=day,
            start_min=start_min,
            end_min=end_min + (end_day - day).days * 24 * 60,
            drive_min=round(part["drive_min"]),
        )


def _moment(at: dt.datetime | str) -> dt.datetime:
    return dt.datetime.fromisoformat(at) if isinstance(at, str) else at
