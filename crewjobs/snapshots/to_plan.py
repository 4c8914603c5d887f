"""The rows of visits into what the planner is asked of each: hours, windows, links, parts.

Reads only; decides nothing. A visit that takes more than a day becomes several, named after it.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet

from crewjobs import models
from crewjobs.domain import facts, pieces, scheduling
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.limits import Limits
from crewjobs.models import HoursKind, Placement, Shop, Visit
from crewjobs.snapshots.clocks import between, on_clock
from crewjobs.snapshots.fabrication import template_visit
from crewjobs.snapshots.jobs import is_templated, work

Span = tuple[dt.datetime, dt.datetime]
Room = Callable[[scheduling.Place], tuple[int, int]]
"""The longest visit to a place that a shift holds, and with overtime."""


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOut:
    """A visit that is not even put to the planner, and why."""

    visit_id: UUID
    code: str
    message: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """Which days are planned, and what holds for all their visits."""

    shop: Shop
    days: list[dt.date]
    ready_on: Mapping[UUID, dt.date]
    """When the stone of jobs is ready of which nobody said it."""
    areas: frozenset[str]
    """How the postal codes of all territories begin."""
    room: Room

    @property
    def zone(self) -> ZoneInfo:
        """Of the shop's clock."""
        return ZoneInfo(self.shop.time_zone)


def visits(asked: Asked) -> tuple[tuple[scheduling.Visit, ...], tuple[LeftOut, ...]]:
    """The visits that are put to the planner, and those that are not."""
    rows = [row for row in _rows() if _is_in_question(row, asked)]
    left_out = {row.pk: why for row in rows if (why := _left_out(row, asked))}
    asked_of = {row.pk: row for row in rows if row.pk not in left_out}
    while missing := [why for row in asked_of.values() if (why := _alone(row, asked_of, asked))]:
        for why in missing:
            left_out[why.visit_id] = why
            del asked_of[why.visit_id]
    parts = {pk: _parts(row, asked) for pk, row in asked_of.items()}
    found = [
        each
        for pk, row in asked_of.items()
        for each in (_linked(parts[pk][0], row, parts, asked), *parts[pk][1:])
    ]
    return tuple(found), tuple(left_out.values())


def _rows() -> QuerySet[Visit]:
    """Visits that may still be planned, with all that the planner asks of them."""
    in_force = Placement.objects.filter(withdrawn_at__isnull=True)
    return (
        Visit.objects.open()
        .filter(started_at__isnull=True)
        .exclude(job__stage=Stage.SIGNED_OFF)
        .select_related("job__site", "job__customer", "comes_after", "assists")
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
            Prefetch("placements", in_force),
            Prefetch("comes_after__placements", in_force),
        )
        .order_by("created_at", "pk")
    )


def _is_in_question(row: Visit, asked: Asked) -> bool:
    """Whether a plan of these days is about this visit: without a place, or placed in them.

    One that begins before these days or ends after them stays: see ``held_days``.
    """
    placement = row.placement
    return placement is None or all(slot.day in asked.days for slot in slots(placement, asked.zone))


def _left_out(row: Visit, asked: Asked) -> LeftOut | None:
    """Why a visit without a published place cannot be planned at all."""
    if row.placement is not None:
        return None
    if holds := [hold.reason for hold in row.job.holds.all() if hold.released_at is None]:
        return LeftOut(visit_id=row.pk, code="on_hold", message=f"on hold: {', '.join(holds)}")
    if row.kind == VisitKind.TEMPLATE:
        return None
    if _template(row, asked) is None and not is_templated(row.job):
        return LeftOut(
            visit_id=row.pk, code="not_templated", message="the template visit is not done yet"
        )
    if not (_made_on(row, asked) or _template(row, asked) or _is_made(row)):
        return LeftOut(
            visit_id=row.pk, code="no_ready_date", message="nobody said when the stone is ready"
        )
    return None


def _is_made(row: Visit) -> bool:
    return Stage(row.job.stage).rank >= Stage.READY.rank


def _made_on(row: Visit, asked: Asked) -> dt.date | None:
    """When the stone is ready: as somebody said, or as the shop's capacity lets it."""
    return row.job.stone_ready_on or asked.ready_on.get(row.job_id)


def _template(row: Visit, asked: Asked) -> Visit | None:
    """The template visit that is still to come, where the shop's lead time says the rest."""
    if asked.shop.capacity_m2 is None or row.kind == VisitKind.TEMPLATE or is_templated(row.job):
        return None
    return None if _made_on(row, asked) else template_visit(row.job)


def _alone(row: Visit, asked_of: Mapping[UUID, Visit], asked: Asked) -> LeftOut | None:
    """Why a visit cannot be planned without another one that is not planned either."""
    before, template = row.comes_after, _template(row, asked)
    if template is not None and template.pk not in asked_of:
        code, message = "not_templated", "the template visit is not planned either"
    elif before is not None and _is_to_come(before) and not _is_known(before, asked_of, asked):
        code, message = "waits_for", "the visit that it comes after is not planned before it"
    elif row.assists and _is_to_come(row.assists) and row.assists.pk not in asked_of:
        code, message = "waits_for", "the visit that it lends a hand to is not planned"
    else:
        return None
    return LeftOut(visit_id=row.pk, code=code, message=message)


def _is_to_come(row: Visit) -> bool:
    return row.finished_at is None and row.cancelled_at is None


def _is_known(row: Visit, asked_of: Mapping[UUID, Visit], asked: Asked) -> bool:
    """Whether the visit is planned with these, or has its place before them."""
    day = _placed_on(row, asked)
    return row.pk in asked_of or (day is not None and day < asked.days[0])


def _placed_on(row: Visit, asked: Asked) -> dt.date | None:
    return on_clock(row.placement.ends_at, asked.zone)[0] if row.placement else None


Parts = Mapping[UUID, tuple[scheduling.Visit, ...]]


def _linked(first: scheduling.Visit, row: Visit, parts: Parts, asked: Asked) -> scheduling.Visit:
    """The visit with the ones that it comes after and lends a hand to, as far as they are asked."""
    template = _template(row, asked)
    before, lead_days = (
        (template, _lead_days(asked.shop)) if template else (row.comes_after, row.after_days)
    )
    if before is not None and before.pk in parts:
        after = scheduling.After(visit=parts[before.pk][-1].id, lead_days=lead_days)
        first = replace(first, after=after)
    if row.assists_id and row.assists_id in parts:
        first = replace(first, assists=parts[row.assists_id][0].id)
    return first


def _lead_days(shop: Shop) -> int:
    """The shop's working days of lead as days of the calendar, with the weekends in them."""
    weeks, days = divmod(shop.lead_days, 5)
    return max(1, 7 * weeks + days + (2 if days else 0))


def _parts(row: Visit, asked: Asked) -> tuple[scheduling.Visit, ...]:
    """The visit, in parts if no shift holds it."""
    whole = _visit(row, asked)
    usual_min, most_min = asked.room(whole.place)
    if whole.duration_min <= most_min or usual_min <= 0 or row.assists_id:
        return (whole,)
    found = scheduling.in_parts(whole, usual_min, windows=_windows(row, asked, customers=()))
    told = slots(row.placement, asked.zone) if row.placement else []
    if len(told) != len(found):
        return found
    return tuple(
        replace(part, promise=slot, promised=whole.promised, lock=whole.lock and slot)
        for part, slot in zip(found, told, strict=True)
    )


def _visit(row: Visit, asked: Asked) -> scheduling.Visit:
    shop, site, stone = asked.shop, row.job.site, _stone(row)
    placement = row.placement
    slot = slots(placement, asked.zone)[0] if placement else None
    pad_mm = Limits.of(shop.limits).frame_pad_mm
    is_fixed = row.is_locked or any(h.released_at is None for h in row.job.holds.all())
    planned_min = row.p50_min + shop.planning_share * (row.p80_min - row.p50_min)
    return scheduling.Visit(
        id=str(row.pk),
        place=scheduling.Place(at_lat=site.lat, at_lon=site.lon),
        duration_min=max(1, round(planned_min)),
        p50_min=round(row.p50_min),
        p80_min=round(row.p80_min),
        windows=_windows(row, asked, customers=row.windows.all()),
        ready_on=_ready_on(row, asked),
        due_on=row.due_on or (row.job.due_on if row.kind == VisitKind.INSTALL else None),
        latest_on=row.latest_on,
        priority=models.Priority(row.job.priority).weight,
        hands=row.hands,
        skills=frozenset(skill.code for skill in row.skills.all()),
        areas=frozenset(each for each in asked.areas if site.postal_code.startswith(each)),
        mass_kg=sum(pieces.mass_kg(piece) for piece in stone),
        longest_piece_mm=max((max(p.length_mm, p.depth_mm) for p in stone), default=0.0),
        load_thickness_mm=sum(piece.thickness_mm + pad_mm for piece in stone),
        lock=slot if is_fixed else None,
        promise=slot,
        promised=_promised(row),
    )


def _promised(row: Visit) -> scheduling.Promised:
    """Who knows of a published place: whom publishing tells, and who said yes."""
    customer = row.job.customer
    if row.customer_confirmed_at:
        return scheduling.Promised.ACCEPTED
    is_told = (customer.takes_email and customer.email) or (customer.takes_texts and customer.phone)
    return scheduling.Promised.TOLD if is_told else scheduling.Promised.PUBLISHED


def _stone(row: Visit) -> tuple[facts.Piece, ...]:
    """What the crew brings along; who lends a hand brings nothing."""
    if row.kind == VisitKind.TEMPLATE or row.assists_id:
        return ()
    return work(row.job, only=row.pieces.all()).pieces


def _ready_on(row: Visit, asked: Asked) -> dt.date | None:
    days = [row.earliest_on]
    if row.kind != VisitKind.TEMPLATE:
        days.append(_made_on(row, asked) if not _is_made(row) else row.job.stone_ready_on)
    if row.comes_after and _is_to_come(row.comes_after):
        placed_on = _placed_on(row.comes_after, asked)
        days.append(placed_on and placed_on + dt.timedelta(days=row.after_days))
    return max((day for day in days if day), default=None)


def slots(placement: Placement, zone: ZoneInfo) -> list[scheduling.Slot]:
    """Where the visit was published, day by day."""
    starts = [dt.datetime.fromisoformat(part["starts_at"]) for part in placement.parts]
    found = [on_clock(at, zone) for at in starts or [placement.starts_at]]
    crew = str(placement.crew_id)
    return [scheduling.Slot(crew=crew, day=day, start_min=minute) for day, minute in found]


def _windows(
    row: Visit, asked: Asked, *, customers: Iterable[models.VisitWindow]
) -> tuple[scheduling.Window, ...] | None:
    """When the crew may arrive on these days; None where customer and site do not mind."""
    windows = list(customers)
    if not windows and not row.job.site.hours.all():
        return None
    return tuple(_open(row, asked, windows))


def _open(
    row: Visit, asked: Asked, windows: list[models.VisitWindow]
) -> Iterator[scheduling.Window]:
    """The customer's windows within every kind of the site's hours."""
    site_zone = ZoneInfo(row.job.site.time_zone)
    hours = list(row.job.site.hours.all())
    for day in asked.days:
        spans = [between(day, w.starts_at, w.ends_at, site_zone) for w in windows if w.on == day]
        if not windows:
            spans = [between(day, dt.time(0), dt.time(23, 59), site_zone)]
        for kind in HoursKind:
            spans = list(_within(spans, [h for h in hours if h.kind == kind], day, site_zone))
        for starts_at, ends_at in spans:
            yield _window(starts_at, ends_at, asked.zone)


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
            first, last = between(day, each.starts_at, each.ends_at, zone)
            if max(starts_at, first) < min(ends_at, last):
                yield max(starts_at, first), min(ends_at, last)


def _window(starts_at: dt.datetime, ends_at: dt.datetime, zone: ZoneInfo) -> scheduling.Window:
    day, earliest_min = on_clock(starts_at, zone)
    minutes = round((ends_at - starts_at).total_seconds() / 60)
    return scheduling.Window(day=day, earliest_min=earliest_min, latest_min=earliest_min + minutes)
