"""A day that has begun, as the planner sees what is left of it. Reads only; decides nothing."""

import datetime as dt
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from uuid import UUID

from crewjobs.domain import scheduling
from crewjobs.domain.scheduling.running import Running, Started
from crewjobs.models import Placement, PlanStatus, UnplacedVisit, Visit
from crewjobs.snapshots.clocks import moment, on_clock, week_zone
from crewjobs.snapshots.stops import stops
from crewjobs.snapshots.week import Week, week


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """What dispatch knows beyond the rows."""

    gone: Mapping[UUID, dt.datetime] = field(default_factory=dict)
    """Crews that do not work today any more, since when."""
    without_truck: Collection[UUID] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class RunningWeek:
    """Some days from today on, what is published for them, and how today stands."""

    week: Week
    plan: scheduling.Schedule
    running: Running


def running_week(last_on: dt.date, event: Event, *, now: dt.datetime) -> RunningWeek:
    """What a plan from now on depends on."""
    shop_zone = week_zone()
    today, now_min = on_clock(now, shop_zone)
    found = week(today, last_on)
    known = {visit.id for visit in found.problem.visits}
    places = Placement.objects.filter(withdrawn_at__isnull=True, visit__in=Visit.objects.open())
    placed = [stop for place in places for stop in stops(found, place) if stop.visit in known]
    there = {stop.visit for stop in placed}
    return RunningWeek(
        week=found,
        plan=scheduling.Schedule(
            placed=tuple(placed),
            unplaced=tuple(scheduling.Unplaced(visit=name) for name in sorted(known - there)),
        ),
        running=Running(
            day=today,
            now_min=now_min,
            started=tuple(_started(today, found)),
            gone={
                str(crew): on_clock(since, shop_zone)[1]
                for crew, since in event.gone.items()
                if on_clock(since, shop_zone)[0] == today
            },
            without_truck=frozenset(str(crew) for crew in event.without_truck),
        ),
    )


def _started(today: dt.date, found: Week) -> Iterator[Started]:
    """What was begun today, over or not, with its live finish."""
    first_at = moment(today, 0, found.zone)
    rows = Placement.objects.filter(
        withdrawn_at__isnull=True,
        visit__cancelled_at__isnull=True,
        visit__started_at__range=(first_at, first_at + dt.timedelta(days=1)),
    ).select_related("visit__job__site")
    for place in rows:
        visit = place.visit
        start_at = visit.started_at or place.starts_at
        end_at = max(start_at, visit.finished_at or visit.live_finish_at or place.ends_at)
        day, end_min = on_clock(end_at, found.zone)
        site = visit.job.site
        yield Started(
            visit=str(visit.pk),
            crew=str(place.crew_id),
            place=scheduling.Place(at_lat=site.lat, at_lon=site.lon),
            start_min=on_clock(start_at, found.zone)[1],
            end_min=end_min + (day - today).days * 24 * 60,
        )


def new_visits(found: RunningWeek) -> list[str]:
    """The visits without a place that no published plan has left out yet."""
    known = UnplacedVisit.objects.filter(plan__status=PlanStatus.PUBLISHED)
    left_out = {str(pk) for pk in known.values_list("visit", flat=True)}
    return [each.visit for each in found.plan.unplaced if each.visit not in left_out]
