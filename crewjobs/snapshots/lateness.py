"""When published visits end, which running ones are late, and whom they push back. Reads only."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from crewjobs.domain import progress
from crewjobs.domain.progress import Lateness
from crewjobs.models import Placement, PlannedVisit, Shop, Visit

MINUTE = dt.timedelta(minutes=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Pushed:
    """A visit behind a late one, and when it may begin now."""

    place: Placement
    expected_at: dt.datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Late:
    """A running visit that threatens those behind it."""

    place: Placement
    lateness: Lateness
    finish_p50_at: dt.datetime
    finish_p80_at: dt.datetime
    behind: tuple[Pushed, ...]

    @property
    def late_min(self) -> float:
        """How far past the published end it is expected to end."""
        return (self.finish_p50_at - self.place.ends_at) / MINUTE


def ends(place: Placement | PlannedVisit, planning_share: float) -> tuple[dt.datetime, dt.datetime]:
    """When half of such visits, and four in five, are over; a break inside moves both."""
    visit = place.visit
    planned_min = visit.p50_min + planning_share * (visit.p80_min - visit.p50_min)
    pause = max(place.ends_at - place.starts_at - planned_min * MINUTE, dt.timedelta())
    p50_at = place.starts_at + visit.p50_min * MINUTE + pause
    return p50_at, p50_at + (visit.p80_min - visit.p50_min) * MINUTE


def late(of: Shop, seen: QuerySet[Visit]) -> list[Late]:
    """The running visits among those seen that are late, the latest first."""
    running = list(
        _places(seen).filter(visit__in=Visit.objects.open(), visit__started_at__isnull=False)
    )
    found = [(place, word) for place in running if (word := _lateness(place.visit, place.ends_at))]
    behind = _behind(of, seen, [place for place, _ in found])
    told = [_late(of, place, word, behind[place.pk]) for place, word in found]
    return sorted(told, key=lambda each: (-each.late_min, str(each.place.pk)))


def _places(seen: QuerySet[Visit]) -> QuerySet[Placement]:
    in_force = Placement.objects.filter(withdrawn_at__isnull=True, visit__in=seen)
    return in_force.select_related("visit__job__customer", "visit__job__site", "crew")


def _lateness(visit: Visit, ends_at: dt.datetime) -> Lateness | None:
    p50_at = visit.live_finish_at
    if p50_at is None:
        return None
    return progress.lateness(ends_at, p50_at, visit.live_finish_p80_at or p50_at)


def _behind(
    of: Shop, seen: QuerySet[Visit], places: list[Placement]
) -> Mapping[UUID, list[Placement]]:
    """For each place, those of the same crew later on the same day of the shop."""
    found: dict[UUID, list[Placement]] = defaultdict(list)
    spans = Q(pk__in=[])
    for place in places:
        spans |= Q(
            crew=place.crew_id, starts_at__gt=place.starts_at, starts_at__lt=_midnight(of, place)
        )
    waiting = Visit.objects.open().filter(started_at__isnull=True)
    for later in _places(seen).filter(spans, visit__in=waiting):
        for place in places:
            if place.crew_id == later.crew_id and (
                place.starts_at < later.starts_at < _midnight(of, place)
            ):
                found[place.pk].append(later)
    return found


def _midnight(of: Shop, place: Placement) -> dt.datetime:
    """When the day of a place ends on the shop's clock."""
    zone = ZoneInfo(of.time_zone)
    day = place.starts_at.astimezone(zone).date() + dt.timedelta(1)
    return dt.datetime.combine(day, dt.time(), zone).astimezone(dt.UTC)


def _late(of: Shop, place: Placement, lateness: Lateness, behind: list[Placement]) -> Late:
    visit = place.visit
    p50_at = visit.live_finish_at or place.ends_at
    return Late(
        place=place,
        lateness=lateness,
        finish_p50_at=p50_at,
        finish_p80_at=visit.live_finish_p80_at or p50_at,
        behind=tuple(_pushed(of, p50_at, behind)),
    )


def _pushed(of: Shop, finish_at: dt.datetime, behind: list[Placement]) -> Iterator[Pushed]:
    by_name = {str(place.pk): place for place in behind}
    waiting = [
        progress.Behind(
            name=name,
            starts_at=place.starts_at,
            drive_min=place.drive_min,
            spent_min=(ends(place, of.planning_share)[0] - place.starts_at) / MINUTE,
        )
        for name, place in by_name.items()
    ]
    for each in progress.shifted(finish_at, waiting):
        yield Pushed(place=by_name[each.name], expected_at=each.expected_at)
