"""A crew's whole day on paper: its stops and everything that goes on the truck, then each visit."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.domain.kit import of_day
from crewjobs.domain.sheets import Blank, Sheet, Table
from crewjobs.models import Crew, Job, Placement, Visit
from crewjobs.web import load_parts, loads, sheets, visits
from crewjobs.web.drawings import lettering
from crewjobs.web.load_parts import LoadTold, OnTruck
from crewjobs.web.pages import Asked, page
from crewjobs.web.sheet_parts import kit_table
from crewjobs.web.told import Told
from crewjobs.web.wording import extent, mass


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop:
    """One visit of the day with what its sheet is made of."""

    place: Placement
    visit: Visit
    job: Job
    told: Told

    @property
    def mass_kg(self) -> float:
        """Of the stone that it brings."""
        carried = self.told.outing.carry_in.pieces if self.told.outing.stone_is_set else ()
        return sum(each.hands.mass_kg for each in carried)

    @property
    def thickness_mm(self) -> float:
        """Of that stone on the A-frame, without pads."""
        brings = self.told.outing.stone_is_set
        return sum(each.thickness_mm for each in self.told.outing.work.pieces) if brings else 0.0


@require_safe
@page
def as_pdf(asked: Asked, crew_id: UUID, day: str) -> HttpResponseBase:
    """The sheets of all visits of a crew's day, in the order of its stops."""
    crew = get_object_or_404(Crew, pk=crew_id)
    try:
        on = dt.date.fromisoformat(day)
    except ValueError as error:
        raise Http404 from error
    found = sheets.stops_of(asked, crew, on)
    if not found:
        raise Http404
    load = loads.told_of(asked, snapshots.load(crew, on))
    truck = OnTruck(load.load, load.day.plan)
    stops = [_stop(asked, place, truck) for place in found]
    each = [sheets.sheet_of(asked, stop.visit, stop.job, stop.told) for stop in stops]
    front = [_cover(asked, crew, on, stops), *_load(asked, load)]
    return sheets.as_file(asked, [*front, *each], f"{crew.name}-{on}")


def _load(asked: Asked, told: LoadTold) -> Iterator[Sheet]:
    """How the truck is loaded, where stone is brought."""
    if told.load.items:
        yield load_parts.sheet(told, lettering(asked.shop))


def _stop(asked: Asked, place: Placement, truck: OnTruck) -> Stop:
    visit, job = visits.seen(asked, place.visit_id)
    return Stop(place=place, visit=visit, job=job, told=sheets.told_of(asked, visit, job, truck))


def _cover(asked: Asked, crew: Crew, on: dt.date, stops: Sequence[Stop]) -> Sheet:
    """The day at a glance."""
    lines = of_day({f"job {stop.job.number} {stop.visit.kind}": stop.told.lines for stop in stops})
    stone = mass(sum(stop.mass_kg for stop in stops), asked.shop)
    thick = extent(sum(stop.thickness_mm for stop in stops), asked.shop)
    return Sheet(
        heading=f"{crew.name}, {on:%A} {on.day} {on:%B}",
        under=f"{len(stops)} stops from {crew.depot.address}; {stone} of stone, {thick} thick.",
        blocks=(
            Table(
                title="Stops",
                head=("Begins", "Over at", "Visit", "Where", "Drive", "Hands", "Stone"),
                rows=tuple(_row(asked, stop) for stop in stops),
                figures=frozenset({0, 1, 4, 5, 6}),
                notes=(
                    "On the clock of each site. Over at: as likely as not. Common practice: stone "
                    "upright and tied, what is set first on last, the last stop's innermost.",
                ),
            ),
            kit_table(lines, asked.shop),
            Blank(title="Notes", lines=4),
        ),
        cautions=sheets.CAUTIONS,
    )


def _row(asked: Asked, stop: Stop) -> tuple[str, ...]:
    p50_at, _ = snapshots.ends(stop.place, asked.shop.planning_share)
    with timezone.override(stop.job.site.time_zone):
        return (
            sheets.clock(stop.place.starts_at),
            sheets.clock(p50_at),
            f"{stop.visit.kind}, job {stop.job.number}",
            f"{stop.job.site.address}, {stop.job.customer.name}",
            f"{stop.place.drive_min:.0f} min",
            str(stop.visit.hands),
            mass(stop.mass_kg, asked.shop) if stop.mass_kg else "",
        )
