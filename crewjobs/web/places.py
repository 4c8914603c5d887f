"""Visits at their places in some days: as rows for a table, and as lines for the chart.

Knows published places and those of a draft alike; refuses to know how either came about.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from crewjobs import snapshots
from crewjobs.domain.facts import VisitKind
from crewjobs.models import Crew, DayOff, Placement, PlannedVisit, Shift, Visit, VisitWindow
from crewjobs.permissions import visible_visits
from crewjobs.web import week_chart
from crewjobs.web.pages import Asked, day_of

ADDRESSES = ("visit__job__site", "visit__job__customer", "crew")
"""What a place's line says of its visit."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A visit's place in the week, published or of the draft."""

    place: Placement | PlannedVisit
    day: dt.date
    before: Placement | None
    """Where it is published now, if the draft puts it elsewhere."""
    is_draft: bool
    p50_at: dt.datetime
    p80_at: dt.datetime

    @property
    def visit(self) -> Visit:
        """Whose place it is."""
        return self.place.visit

    @property
    def state(self) -> str:
        """In a word or two, how firm it is."""
        if self.visit.finished_at:
            return "done"
        if self.is_draft:
            return "moves" if self.before else "new"
        firm = "locked" if self.visit.is_locked else "published"
        return f"{firm}, confirmed" if self.visit.customer_confirmed_at else firm


def between(asked: Asked, days: Sequence[dt.date]) -> dict[str, dt.datetime]:
    """The filter for what begins in these days on the shop's clock."""
    return {
        "starts_at__gte": snapshots.moment(days[0], 0, asked.zone),
        "starts_at__lt": snapshots.moment(days[-1] + dt.timedelta(1), 0, asked.zone),
    }


def published(asked: Asked, days: Sequence[dt.date]) -> QuerySet[Placement]:
    """The published places of these days that this person may see."""
    found = Placement.objects.filter(
        withdrawn_at__isnull=True, visit__in=visible_visits(asked.by), **between(asked, days)
    )
    return found.select_related(*ADDRESSES).prefetch_related("visit__windows")


def row_of(
    asked: Asked,
    place: Placement | PlannedVisit,
    *,
    before: Placement | None = None,
    is_draft: bool = False,
) -> Row:
    p50_at, p80_at = snapshots.ends(place, asked.shop.planning_share)
    day = day_of(place.starts_at, asked.zone)
    return Row(place=place, day=day, before=before, is_draft=is_draft, p50_at=p50_at, p80_at=p80_at)


def chart(
    asked: Asked, days: Sequence[dt.date], rows: Iterable[Row], published: Iterable[Placement]
) -> week_chart.WeekDrawing:
    """The days as a drawing; `published` places that no row has are shown as left."""
    stops: dict[tuple[UUID, dt.date], list[Row]] = defaultdict(list)
    ghosts: dict[tuple[UUID, dt.date], list[Placement]] = defaultdict(list)
    shown = list(rows)
    staying = {(row.visit.pk, row.place.crew_id, row.place.starts_at) for row in shown}
    for row in shown:
        stops[row.place.crew_id, row.day].append(row)
    for place in published:
        if (place.visit_id, place.crew_id, place.starts_at) not in staying:
            ghosts[place.crew_id, day_of(place.starts_at, asked.zone)].append(place)
    crews = _crews(asked, days)
    drawn = [
        week_chart.Day(
            on=day,
            lanes=tuple(
                _lane(asked, crew, day, stops[crew.pk, day], ghosts[crew.pk, day]) for crew in crews
            ),
            now_min=snapshots.on_clock(asked.now, asked.zone)[1] if day == asked.today else None,
        )
        for day in days
        if _is_worked(crews, day, stops)
    ]
    return week_chart.draw(drawn)


def _crews(asked: Asked, days: Sequence[dt.date]) -> list[Crew]:
    off = DayOff.objects.filter(first_on__lte=days[-1], last_on__gte=days[0])
    found = Crew.objects.filter(is_active=True).select_related("depot")
    if not asked.may("plan.make") and asked.by.crew_id:
        found = found.filter(pk=asked.by.crew_id)
    return list(found.prefetch_related("shifts", Prefetch("days_off", off)))


def _is_worked(
    crews: Iterable[Crew], day: dt.date, stops: Mapping[tuple[UUID, dt.date], object]
) -> bool:
    """Days on which nobody ever works, and nobody does now, are left out."""
    return any(
        bool(stops.get((crew.pk, day)))
        or any(shift.weekday == day.weekday() for shift in crew.shifts.all())
        for crew in crews
    )


def _lane(
    asked: Asked, crew: Crew, day: dt.date, rows: Iterable[Row], ghosts: Iterable[Placement]
) -> week_chart.Lane:
    shift = next((s for s in crew.shifts.all() if s.weekday == day.weekday()), None)
    off = next((d for d in crew.days_off.all() if d.first_on <= day <= d.last_on), None)
    return week_chart.Lane(
        name=crew.name,
        shift=_on_clock(asked, day, shift, crew.depot.time_zone) if shift and not off else None,
        off=(off.reason or "day off") if off else "" if shift else "no shift",
        stops=tuple(_stop(asked, row) for row in rows),
        ghosts=tuple(_stop(asked, row_of(asked, place)) for place in ghosts),
    )


def _on_clock(asked: Asked, day: dt.date, span: Shift | VisitWindow, zone: str) -> tuple[int, int]:
    """Hours of another place's clock in minutes of the shop's."""
    there = ZoneInfo(zone)
    start, end = (
        snapshots.on_clock(dt.datetime.combine(day, clock, there), asked.zone)[1]
        for clock in (span.starts_at, span.ends_at)
    )
    return start, end


def _stop(asked: Asked, row: Row) -> week_chart.Stop:
    visit, job = row.visit, row.visit.job
    start_min = snapshots.on_clock(row.place.starts_at, asked.zone)[1]
    return week_chart.Stop(
        url=reverse("visit", args=[visit.pk]),
        texts=_texts(row),
        title=f"{job.number} {visit.kind}, {job.site.street}: {row.state}",
        start_min=start_min,
        p50_min=start_min + _minutes(row.p50_at - row.place.starts_at),
        p80_min=start_min + _minutes(row.p80_at - row.place.starts_at),
        drive_min=round(row.place.drive_min),
        windows=tuple(
            _on_clock(asked, row.day, window, job.site.time_zone)
            for window in visit.windows.all()
            if window.on == row.day
        ),
        is_measuring=visit.kind == VisitKind.TEMPLATE,
        done_share=visit.progress_share,
        live_min=_live_min(asked, row),
    )


def _live_min(asked: Asked, row: Row) -> int | None:
    """When the crew that is on site will be done; none before and after, or on another day."""
    visit = row.visit
    if visit.started_at is None or visit.finished_at or visit.live_finish_at is None:
        return None
    day, minute = snapshots.on_clock(visit.live_finish_at, asked.zone)
    return minute if day == row.day else None


def _texts(row: Row) -> tuple[str, ...]:
    """What may stand in the bar: the state too where it is not simply published."""
    job, kind = row.visit.job, row.visit.kind
    says_state = row.is_draft or row.visit.finished_at
    what = f"{job.number} {kind}, {row.state}" if says_state else f"{job.number} {kind}"
    return (
        f"{what}, {job.site.street}, {job.site.town}",
        f"{what}, {job.site.street}",
        what,
        f"{job.number} {row.state}" if says_state else f"{job.number} {kind}",
        job.number,
    )


def _minutes(span: dt.timedelta) -> int:
    return round(span / dt.timedelta(minutes=1))
