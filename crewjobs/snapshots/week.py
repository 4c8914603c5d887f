"""The rows of some days into what is to be planned. Reads only; decides nothing.

The planner counts whole minutes since midnight on the shop's own clock, so the conversion from
the clocks of depots and sites stands here and beside.
"""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q

from crewjobs import models, roads
from crewjobs.domain import scheduling
from crewjobs.domain.scheduling.board import worked
from crewjobs.models import Crew, Shop
from crewjobs.snapshots import to_plan
from crewjobs.snapshots.clocks import between, moment, on_clock
from crewjobs.snapshots.fabrication import ready_days
from crewjobs.snapshots.held_days import without_held
from crewjobs.snapshots.to_plan import LeftOut, Room


@dataclass(frozen=True, kw_only=True, slots=True)
class Week:
    """What is put to the planner for some days, and what is not."""

    problem: scheduling.Problem
    left_out: tuple[LeftOut, ...]
    zone: ZoneInfo

    def moment(self, day: dt.date, minute: int) -> dt.datetime:
        """The moment in UTC at which the shop's clock shows this minute of the day."""
        return moment(day, minute, self.zone)


def week(first_on: dt.date, last_on: dt.date) -> Week:
    """Everything that a plan of these days depends on."""
    shop = Shop.objects.get()
    zone = ZoneInfo(shop.time_zone)
    days = [first_on + dt.timedelta(n) for n in range((last_on - first_on).days + 1)]
    travel = scheduling.GreatCircle(
        circuity_factor=shop.circuity_factor,
        speed_kmh=shop.speed_kmh,
        fixed_min=round(shop.drive_extra_min),
    )
    crew_days = tuple(without_held(_crew_days(shop, days, zone), days, zone, travel))
    visits, left_out = to_plan.visits(
        to_plan.Asked(
            shop=shop,
            days=days,
            ready_on=ready_days(shop, first_on),
            areas=frozenset[str]().union(*(each.areas for each in crew_days)),
            room=_room(crew_days, travel),
        )
    )
    problem = scheduling.Problem(
        crew_days=crew_days,
        visits=visits,
        costs=scheduling.Costs(uneven=shop.uneven_cost),
        travel=roads.travel([*(c.depot for c in crew_days), *(v.place for v in visits)], travel),
        traffic=_traffic(shop),
    )
    return Week(problem=problem, left_out=left_out, zone=zone)


def _traffic(shop: Shop) -> scheduling.Traffic:
    if not shop.traffic:
        return scheduling.Traffic()
    return scheduling.Traffic(steps=tuple((minute, percent) for minute, percent in shop.traffic))


def _room(crew_days: Sequence[scheduling.CrewDay], travel: scheduling.GreatCircle) -> Room:
    """How long a visit may be in a shift, by what is left of it after the drives."""
    shifts = {
        (at.depot, worked(at, at.shift_end_min) - worked(at, at.shift_start_min),
         at.max_overtime_min)
        for at in crew_days
    }  # fmt: skip

    def room(place: scheduling.Place) -> tuple[int, int]:
        found = [(0, 0)]
        for depot, shift_min, overtime_min in shifts:
            table = travel.minutes([depot, place])
            left_min = shift_min - int(table[0, 1] + table[1, 0])
            found.append((left_min, left_min + overtime_min))
        return max(usual for usual, _ in found), max(most for _, most in found)

    return room


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
    depot_zone = ZoneInfo(crew.depot.time_zone)
    starts_at, ends_at = between(day, shift.starts_at, shift.ends_at, depot_zone)
    start_min = on_clock(starts_at, zone)[1]
    truck: Mapping[str, float] = _truck(crew.truck)
    return scheduling.CrewDay(
        crew=str(crew.pk),
        day=day,
        depot=scheduling.Place(at_lat=crew.depot.lat, at_lon=crew.depot.lon),
        hands=len(present),
        skills=frozenset(skill.code for person in present for skill in person.skills.all()),
        areas=frozenset(crew.areas),
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
