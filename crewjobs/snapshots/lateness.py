"""When published visits end, which running ones are late, and whom they push back. Reads only."""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from crewjobs.domain import progress
from crewjobs.domain.progress import Lateness
from crewjobs.models import Placement, PlannedVisit, Shop, Visit

MINUTE, DAY = dt.timedelta(minutes=1), dt.timedelta(days=1)


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


def late(of: Shop, seen: QuerySet[Visit], *, now: dt.datetime) -> list[Late]:
    """Today's running visits among those seen that are late, the latest first.

    One of which nothing is heard ends no sooner than now.
    """
    places = list(_places(seen, now))
    found = [_late(of, place, places, now) for place in places if place.visit.started_at]
    told = [each for each in found if each is not None]
    return sorted(told, key=lambda each: (-each.late_min, str(each.place.pk)))


def _places(seen: QuerySet[Visit], now: dt.datetime) -> QuerySet[Placement]:
    """The published places within a day of now of visits that are not over."""
    return Placement.objects.filter(
        withdrawn_at__isnull=True,
        visit__in=seen,
        visit__pk__in=Visit.objects.open().values("pk"),
        starts_at__range=(now - DAY, now + DAY),
    ).select_related("visit__job__customer", "visit__job__site", "crew")


def _late(of: Shop, place: Placement, places: Iterable[Placement], now: dt.datetime) -> Late | None:
    visit = place.visit
    if visit.live_finish_at is None:
        return None
    p50_at = max(now, visit.live_finish_at)
    p80_at = max(p50_at, visit.live_finish_p80_at or p50_at)
    lateness = progress.lateness(place.ends_at, p50_at, p80_at)
    if lateness is None:
        return None
    return Late(
        place=place,
        lateness=lateness,
        finish_p50_at=p50_at,
        finish_p80_at=p80_at,
        behind=tuple(_pushed(of, p50_at, _behind(of, place, places))),
    )


def _behind(of: Shop, place: Placement, places: Iterable[Placement]) -> dict[str, Placement]:
    """What the same crew has later on the same day of the shop, by a name."""
    zone = ZoneInfo(of.time_zone)
    day = place.starts_at.astimezone(zone).date()
    return {
        str(other.pk): other
        for other in places
        if other.crew_id == place.crew_id
        and other.starts_at > place.starts_at
        and other.starts_at.astimezone(zone).date() == day
        and other.visit.started_at is None
    }


def _pushed(of: Shop, finish_at: dt.datetime, behind: Mapping[str, Placement]) -> Iterator[Pushed]:
    waiting = [
        progress.Behind(
            name=name,
            starts_at=place.starts_at,
            drive_min=place.drive_min,
            spent_min=(ends(place, of.planning_share)[0] - place.starts_at) / MINUTE,
        )
        for name, place in behind.items()
    ]
    for each in progress.shifted(finish_at, waiting):
        yield Pushed(place=behind[each.name], expected_at=each.expected_at)
