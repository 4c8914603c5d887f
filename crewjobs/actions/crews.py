"""Depots, trucks, crews, their shifts and days off."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import models
from crewjobs.actions import log
from crewjobs.actions.errors import InvalidError
from crewjobs.models import Crew, DayOff, Depot, Person, Shift, Skill, Truck


@dataclass(frozen=True, kw_only=True, slots=True)
class DepotEntry:
    """Where trucks are loaded."""

    name: str
    street: str
    town: str
    lat: float
    lon: float
    time_zone: str
    region: str = ""
    postal_code: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TruckEntry:
    """A truck and its A-frame."""

    name: str
    depot: Depot
    payload_kg: float
    frame_length_mm: float
    frame_height_mm: float
    frame_thickness_mm: float
    frame_side_kg: float | None = None
    """None: the shop's share of the payload."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ShiftEntry:
    """The hours of one weekday; 0 is Monday."""

    weekday: int
    starts_at: dt.time
    ends_at: dt.time


@transaction.atomic
def add_depot(*, entry: DepotEntry, by: Person, now: datetime) -> Depot:
    """One more depot."""
    log.require(by, "crew.change")
    depot = Depot.objects.create(
        created_at=now,
        name=entry.name,
        street=entry.street,
        town=entry.town,
        region=entry.region,
        postal_code=entry.postal_code,
        lat=entry.lat,
        lon=entry.lon,
        time_zone=entry.time_zone,
    )
    log.write("depot.add", depot, by=by, now=now, name=depot.name)
    return depot


@transaction.atomic
def add_truck(*, entry: TruckEntry, by: Person, now: datetime) -> Truck:
    """One more truck."""
    log.require(by, "crew.change")
    truck = Truck.objects.create(
        created_at=now,
        name=entry.name,
        depot=entry.depot,
        payload_kg=entry.payload_kg,
        frame_length_mm=entry.frame_length_mm,
        frame_height_mm=entry.frame_height_mm,
        frame_thickness_mm=entry.frame_thickness_mm,
        frame_side_kg=entry.frame_side_kg,
    )
    log.write("truck.add", truck, by=by, now=now, name=truck.name)
    return truck


@transaction.atomic
def add_skill(*, code: str, name: str, by: Person, now: datetime) -> Skill:
    """One more skill that visits may ask for."""
    log.require(by, "crew.change")
    skill = Skill.objects.create(created_at=now, code=code, name=name)
    log.write("skill.add", skill, by=by, now=now, code=code)
    return skill


@transaction.atomic
def add(
    *, name: str, depot: Depot, truck: Truck | None, shifts: Iterable[ShiftEntry], by: Person,
    now: datetime,
) -> Crew:  # fmt: skip
    """One more crew with its working week."""
    log.require(by, "crew.change")
    crew = Crew.objects.create(created_at=now, name=name, depot=depot, truck=truck)
    _write_shifts(crew, shifts, now=now)
    log.write("crew.add", crew, by=by, now=now, name=name)
    return crew


@transaction.atomic
def set_shifts(*, crew_id: UUID, shifts: Iterable[ShiftEntry], by: Person, now: datetime) -> Crew:
    """A new working week."""
    log.require(by, "crew.change")
    crew = Crew.objects.select_for_update().get(pk=crew_id)
    crew.shifts.all().delete()
    _write_shifts(crew, shifts, now=now)
    log.write("crew.shifts", crew, by=by, now=now)
    return crew


@transaction.atomic
def set_areas(*, crew_id: UUID, areas: Iterable[str], by: Person, now: datetime) -> Crew:
    """A new territory: how the postal codes in it begin; none is everywhere."""
    log.require(by, "crew.change")
    crew = Crew.objects.select_for_update().get(pk=crew_id)
    crew.areas = sorted({each.strip() for each in areas if each.strip()})
    crew.save()
    log.write("crew.areas", crew, by=by, now=now, areas=crew.areas)
    return crew


@transaction.atomic
def add_day_off(
    *, of: Crew | Person, first_on: dt.date, last_on: dt.date, reason: str = "", by: Person,
    now: datetime,
) -> DayOff:  # fmt: skip
    """Days on which a crew, or one of its people, does not work.

    Raises
    ------
    InvalidError
        If they end before they start.
    """
    log.require(by, "crew.change")
    if last_on < first_on:
        raise InvalidError({"/last_on": f"{last_on} is before {first_on}"})
    whose = {"crew": of} if isinstance(of, Crew) else {"person": of}
    day_off = models.DayOff.objects.create(
        created_at=now, first_on=first_on, last_on=last_on, reason=reason, **whose
    )
    log.write("crew.day_off", day_off, by=by, now=now, first_on=str(first_on), last_on=str(last_on))
    return day_off


@transaction.atomic
def remove_day_off(*, day_off_id: UUID, by: Person, now: datetime) -> None:
    """They work after all."""
    log.require(by, "crew.change")
    day_off = DayOff.objects.select_for_update().get(pk=day_off_id)
    log.write("crew.day_on", day_off, by=by, now=now, first_on=str(day_off.first_on))
    day_off.delete()


def _write_shifts(crew: Crew, shifts: Iterable[ShiftEntry], *, now: datetime) -> None:
    for number, shift in enumerate(shifts):
        if shift.ends_at <= shift.starts_at or not 0 <= shift.weekday <= 6:
            raise InvalidError(
                {f"/shifts/{number}": "a shift is on a weekday 0 to 6, and ends after it starts"}
            )
        Shift.objects.create(
            created_at=now,
            crew=crew,
            weekday=shift.weekday,
            starts_at=shift.starts_at,
            ends_at=shift.ends_at,
        )
