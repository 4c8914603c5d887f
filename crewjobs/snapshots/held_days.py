"""Crew-days on which a visit of several days goes on that began before the plan, or ends after it.

Such a visit stays where it is published. What is left of its crew's day is the longer of what lies
before it and after it, as if the crew came from its depot and went back there.
"""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import replace
from zoneinfo import ZoneInfo

from crewjobs.domain.scheduling import CrewDay, GreatCircle, Place
from crewjobs.models import Placement
from crewjobs.snapshots.clocks import DAY_MIN, on_clock

Part = tuple[int, int, Place]
"""From and until which minute of the day, and where."""


def without_held(
    crew_days: Iterable[CrewDay], days: list[dt.date], zone: ZoneInfo, travel: GreatCircle
) -> Iterator[CrewDay]:
    """The crew-days with what such visits leave of them."""
    held = dict(_held(days, zone))
    for at in crew_days:
        part = held.get((at.crew, at.day))
        left = at if part is None else _left(at, part, travel)
        if left is not None:
            yield left


def _held(days: list[dt.date], zone: ZoneInfo) -> Iterator[tuple[tuple[str, dt.date], Part]]:
    rows = Placement.objects.exclude(parts=[]).filter(
        withdrawn_at__isnull=True,
        visit__cancelled_at__isnull=True,
        visit__finished_at__isnull=True,
        visit__job__cancelled_at__isnull=True,
    )
    for row in rows.select_related("visit__job__site"):
        site = row.visit.job.site
        parts = [_part(part, zone) for part in row.parts]
        if all(day in days for day, _, _ in parts):
            continue
        for day, start_min, end_min in parts:
            place = Place(at_lat=site.lat, at_lon=site.lon)
            yield (str(row.crew_id), day), (start_min, end_min, place)


def _part(part: dict[str, str], zone: ZoneInfo) -> tuple[dt.date, int, int]:
    day, start_min = on_clock(dt.datetime.fromisoformat(part["starts_at"]), zone)
    end_day, end_min = on_clock(dt.datetime.fromisoformat(part["ends_at"]), zone)
    return day, start_min, end_min + (end_day - day).days * DAY_MIN


def _left(at: CrewDay, part: Part, travel: GreatCircle) -> CrewDay | None:
    start_min, end_min, place = part
    table = travel.minutes([at.depot, place])
    before = start_min - int(table[0, 1]) - at.shift_start_min
    after = at.shift_end_min - (end_min + int(table[1, 0]))
    if max(before, after) <= 0:
        return None
    if before > after:
        end_min = at.shift_start_min + before
        return replace(at, shift_end_min=end_min, max_overtime_min=0)
    return replace(at, shift_start_min=at.shift_end_min - after)
