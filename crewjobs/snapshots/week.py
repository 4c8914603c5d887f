"""The rows of some days into what is to be planned. Reads only; decides nothing.

The planner counts whole minutes since midnight on the shop's own clock, so the conversion from
the clocks of depots and sites stands here.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet

from crewjobs import models
from crewjobs.domain import facts, pieces, scheduling
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.models import Crew, HoursKind, Placement, Shop, Visit
from crewjobs.snapshots.jobs import is_templated, work

DAY_MIN = 24 * 60
PAD_MM = 10.0
"""Between two pieces on the A-frame. Common practice, not measured."""


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOut:
    """A visit that is not even put to the planner, and why."""

    visit_id: UUID
    code: str
    message: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Week:
    """What is put to the planner for some days, and what is not."""

    problem: scheduling.Problem
    left_out: tuple[LeftOut, ...]
    zone: ZoneInfo

    def moment(self, day: dt.date, minute: int) -> dt.datetime:
        """The moment in UTC at which the shop's clock shows this minute of the day."""
        return moment(day, minute, self.zone)


def week_zone() -> ZoneInfo:
    """The time zone of the shop's own clock."""
    return ZoneInfo(Shop.objects.get().time_zone)


def moment(day: dt.date, minute: int, zone: ZoneInfo) -> dt.datetime:
    """The moment in UTC at which the zone's clock shows this minute of the day."""
    days, minute = divmod(minute, DAY_MIN)
    clock = dt.time(minute // 60, minute % 60)
    return dt.datetime.combine(day + dt.timedelta(days), clock, zone).astimezone(dt.UTC)


def on_clock(at: dt.datetime, zone: ZoneInfo) -> tuple[dt.date, int]:
    """The day and the minute that the zone's clock shows at a moment."""
    local = at.astimezone(zone)
    return local.date(), local.hour * 60 + local.minute


def week(first_on: dt.date, last_on: dt.date) -> Week:
    """Everything that a plan of these days depends on."""
    shop = Shop.objects.get()
    zone = ZoneInfo(shop.time_zone)
    days = [first_on + dt.timedelta(n) for n in range((last_on - first_on).days + 1)]
    rows = [row for row in _visits() if _is_in_question(row, days, zone)]
    left_out = tuple(each for row in rows if (each := _left_out(row)))
    without = {each.visit_id for each in left_out}
    problem = scheduling.Problem(
        crew_days=tuple(_crew_days(shop, days, zone)),
        visits=tuple(_visit(row, shop, days) for row in rows if row.pk not in without),
        travel=scheduling.GreatCircle(
            circuity_factor=shop.circuity_factor,
            speed_kmh=shop.speed_kmh,
            fixed_min=round(shop.drive_extra_min),
        ),
    )
    return Week(problem=problem, left_out=left_out, zone=zone)


def _visits() -> QuerySet[Visit]:
    """Visits that may still be planned, with all that the planner asks of them."""
    return (
        Visit.objects.open()
        .filter(started_at__isnull=True)
        .exclude(job__stage=Stage.SIGNED_OFF)
        .select_related("job__site")
        .prefetch_related(
            "skills",
            "windows",
            "pieces",
            "job__site__hours",
            "job__holds",
            "job__pieces__cutouts",
            "job__pieces__supports",
            "job__seams__first",
            "job__seams__second",
            "job__route",
            "job__visits",
            Prefetch("placements", Placement.objects.filter(withdrawn_at__isnull=True)),
        )
        .order_by("created_at", "pk")
    )


def _is_in_question(row: Visit, days: list[dt.date], zone: ZoneInfo) -> bool:
    """Whether a plan of these days is about this visit: without a place, or placed in them."""
    placement = row.placement
    return placement is None or on_clock(placement.starts_at, zone)[0] in days


def _left_out(row: Visit) -> LeftOut | None:
    """Why a visit without a published place cannot be planned at all."""
    if row.placement is not None:
        return None
    if holds := [hold.reason for hold in row.job.holds.all() if hold.released_at is None]:
        return LeftOut(visit_id=row.pk, code="on_hold", message=f"on hold: {', '.join(holds)}")
    if row.kind == VisitKind.TEMPLATE:
        return None
    if not is_templated(row.job):
        return LeftOut(
            visit_id=row.pk, code="not_templated", message="the template visit is not done yet"
        )
    if row.job.stone_ready_on is None and Stage(row.job.stage).rank < Stage.READY.rank:
        return LeftOut(
            visit_id=row.pk, code="no_ready_date", message="nobody said when the stone is ready"
        )
    return None


def _visit(row: Visit, shop: Shop, days: list[dt.date]) -> scheduling.Visit:
    zone = ZoneInfo(shop.time_zone)
    site, stone = row.job.site, _stone(row)
    placement = row.placement
    slot = _slot(placement, zone) if placement else None
    is_fixed = row.is_locked or any(h.released_at is None for h in row.job.holds.all())
    planned_min = row.p50_min + shop.planning_share * (row.p80_min - row.p50_min)
    return scheduling.Visit(
        id=str(row.pk),
        place=scheduling.Place(at_lat=site.lat, at_lon=site.lon),
        duration_min=max(1, round(planned_min)),
        p50_min=round(row.p50_min),
        p80_min=round(row.p80_min),
        windows=_windows(row, shop, days),
        ready_on=_ready_on(row),
        due_on=row.due_on or (row.job.due_on if row.kind == VisitKind.INSTALL else None),
        priority=models.Priority(row.job.priority).weight,
        hands=row.hands,
        skills=frozenset(skill.code for skill in row.skills.all()),
        mass_kg=sum(pieces.mass_kg(piece) for piece in stone),
        longest_piece_mm=max((max(p.length_mm, p.depth_mm) for p in stone), default=0.0),
        load_thickness_mm=sum(piece.thickness_mm + PAD_MM for piece in stone),
        lock=slot if is_fixed else None,
        promise=slot,
    )


def _stone(row: Visit) -> tuple[facts.Piece, ...]:
    if row.kind == VisitKind.TEMPLATE:
        return ()
    return work(row.job, only=row.pieces.all()).pieces


def _ready_on(row: Visit) -> dt.date | None:
    days = [row.earliest_on]
    if row.kind != VisitKind.TEMPLATE:
        days.append(row.job.stone_ready_on)
    return max((day for day in days if day), default=None)


def _slot(placement: Placement, zone: ZoneInfo) -> scheduling.Slot:
    day, minute = on_clock(placement.starts_at, zone)
    return scheduling.Slot(crew=str(placement.crew_id), day=day, start_min=minute)


Span = tuple[dt.datetime, dt.datetime]


def _windows(row: Visit, shop: Shop, days: list[dt.date]) -> tuple[scheduling.Window, ...] | None:
    """When the crew may arrive on these days; None where customer and site do not mind."""
    if not row.windows.all() and not row.job.site.hours.all():
        return None
    return tuple(_open(row, shop, days))


def _open(row: Visit, shop: Shop, days: list[dt.date]) -> Iterator[scheduling.Window]:
    """The customer's windows within every kind of the site's hours."""
    site_zone, shop_zone = ZoneInfo(row.job.site.time_zone), ZoneInfo(shop.time_zone)
    hours = list(row.job.site.hours.all())
    windows = list(row.windows.all())
    for day in days:
        spans = [_span(day, w.starts_at, w.ends_at, site_zone) for w in windows if w.on == day]
        if not windows:
            spans = [_span(day, dt.time(0), dt.time(23, 59), site_zone)]
        for kind in HoursKind:
            spans = list(_within(spans, [h for h in hours if h.kind == kind], day, site_zone))
        for starts_at, ends_at in spans:
            yield _window(starts_at, ends_at, shop_zone)


def _within(
    spans: Iterable[Span], hours: list[models.SiteHours], day: dt.date, zone: ZoneInfo
) -> Iterator[Span]:
    """The parts of the spans that lie within the hours of that day; all, where there are none."""
    if not hours:
        yield from spans
        return
    today = [h for h in hours if h.on == day or (h.on is None and h.weekday == day.weekday())]
    for starts_at, ends_at in spans:
        for each in today:
            first, last = _span(day, each.starts_at, each.ends_at, zone)
            if max(starts_at, first) < min(ends_at, last):
                yield max(starts_at, first), min(ends_at, last)


def _span(day: dt.date, starts_at: dt.time, ends_at: dt.time, zone: ZoneInfo) -> Span:
    return (
        dt.datetime.combine(day, starts_at, zone).astimezone(dt.UTC),
        dt.datetime.combine(day, ends_at, zone).astimezone(dt.UTC),
    )


def _window(starts_at: dt.datetime, ends_at: dt.datetime, zone: ZoneInfo) -> scheduling.Window:
    day, earliest_min = on_clock(starts_at, zone)
    minutes = round((ends_at - starts_at).total_seconds() / 60)
    return scheduling.Window(day=day, earliest_min=earliest_min, latest_min=earliest_min + minutes)


def _crew_days(shop: Shop, days: list[dt.date], zone: ZoneInfo) -> Iterator[scheduling.CrewDay]:
    off = Q(first_on__lte=days[-1], last_on__gte=days[0])
    crews = (
        Crew.objects.filter(is_active=True)
        .select_related("depot", "truck")
        .prefetch_related(
            "shifts",
            Prefetch("days_off", models.DayOff.objects.filter(off)),
            Prefetch("members", models.Person.objects.filter(is_active=True)),
            "members__skills",
            Prefetch("members__days_off", models.DayOff.objects.filter(off)),
        )
    )
    for crew in crews:
        shifts = {shift.weekday: shift for shift in crew.shifts.all()}
        for day in days:
            shift = shifts.get(day.weekday())
            present = [person for person in crew.members.all() if not _is_off(person, day)]
            if shift and present and not _is_off(crew, day):
                yield _crew_day(crew, shift, present, day, shop, zone)


def _is_off(who: Crew | models.Person, day: dt.date) -> bool:
    return any(each.first_on <= day <= each.last_on for each in who.days_off.all())


def _crew_day(
    crew: Crew,
    shift: models.Shift,
    present: list[models.Person],
    day: dt.date,
    shop: Shop,
    zone: ZoneInfo,
) -> scheduling.CrewDay:
    starts_at, ends_at = _span(day, shift.starts_at, shift.ends_at, ZoneInfo(crew.depot.time_zone))
    start_min = on_clock(starts_at, zone)[1]
    truck: Mapping[str, float] = _truck(crew.truck)
    return scheduling.CrewDay(
        crew=str(crew.pk),
        day=day,
        depot=scheduling.Place(at_lat=crew.depot.lat, at_lon=crew.depot.lon),
        hands=len(present),
        skills=frozenset(skill.code for person in present for skill in person.skills.all()),
        shift_start_min=start_min,
        shift_end_min=start_min + round((ends_at - starts_at).total_seconds() / 60),
        max_overtime_min=round(crew.overtime_min),
        pause=_pause(shop),
        **truck,
    )


def _truck(truck: models.Truck | None) -> dict[str, float]:
    """What the A-frame takes: two sides; without a truck, no stone."""
    if truck is None:
        return {"payload_kg": 0.0, "frame_length_mm": 0.0, "frame_thickness_mm": 0.0}
    return {
        "payload_kg": truck.payload_kg,
        "frame_length_mm": truck.frame_length_mm,
        "frame_thickness_mm": 2 * truck.frame_thickness_mm,
    }


def _pause(shop: Shop) -> scheduling.Break | None:
    if shop.break_min < 1:
        return None
    start_min = shop.break_starts_at.hour * 60 + shop.break_starts_at.minute
    return scheduling.Break(start_min=start_min, end_min=start_min + round(shop.break_min))
