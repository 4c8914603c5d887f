"""A crew's day into what its truck carries: its stops in order, and the stone that each brings.

Reads only; decides nothing. A visit of several days brings its stone on the first; what was set
before the day is there already.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from uuid import UUID
from zoneinfo import ZoneInfo

from crewjobs import models
from crewjobs.domain import facts
from crewjobs.domain.facts import ReportKind, VisitKind
from crewjobs.domain.limits import Limits
from crewjobs.domain.loading import Frame, Item, item_of
from crewjobs.models import Crew, Job, Placement, Plan, PlannedVisit, Shop, StatusReport, Visit
from crewjobs.snapshots.clocks import moment, on_clock
from crewjobs.snapshots.jobs import piece, shop

Row = Placement | PlannedVisit


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """One stop of a truck's day."""

    number: int
    starts_at: dt.datetime
    visit: Visit
    pieces: Mapping[str, facts.Piece]
    """What it brings, by the names on the truck, in the order of setting."""

    @property
    def brings(self) -> list[str]:
        """The names of its pieces on the truck."""
        return list(self.pieces)

    @property
    def job(self) -> Job:
        """Whose stone it is."""
        return self.visit.job


@dataclass(frozen=True, kw_only=True, slots=True)
class Load:
    """What a truck carries on one day."""

    crew: Crew
    on: dt.date
    frame: Frame | None
    """None: the crew has no truck."""
    calls: tuple[Call, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything on the truck, each with its stop and its turn there."""
        return tuple(
            replace(item_of(each, stop=call.number, order=order), name=name)
            for call in self.calls
            for order, (name, each) in enumerate(call.pieces.items())
        )

    @property
    def pieces(self) -> dict[str, facts.Piece]:
        """Everything on the truck by its name there."""
        return {name: each for call in self.calls for name, each in call.pieces.items()}


def load(crew: Crew, on: dt.date, plan: Plan | None = None) -> Load:
    """The load of a crew's day as it is published, or as a plan would have it."""
    of = shop()
    zone = ZoneInfo(of.time_zone)
    of_day = {
        "crew": crew,
        "starts_at__gte": moment(on, 0, zone),
        "starts_at__lt": moment(on + dt.timedelta(1), 0, zone),
    }
    rows = _rows(plan, of_day)
    return _load(crew, on, rows, of, _Stone.of(row.visit_id for row in rows))


def loads(plan: Plan) -> list[Load]:
    """The loads of every crew-day on which the plan has a visit."""
    of = shop()
    zone = ZoneInfo(of.time_zone)
    by_day = defaultdict[tuple[UUID, dt.date], list[Row]](list)
    within = {
        "starts_at__gte": moment(plan.first_on, 0, zone),
        "starts_at__lt": moment(plan.last_on + dt.timedelta(1), 0, zone),
    }
    for row in _rows(plan, within):
        by_day[row.crew_id, on_clock(row.starts_at, zone)[0]].append(row)
    planned = {(row.crew_id, on_clock(row.starts_at, zone)[0]) for row in plan.planned.all()}
    crews = Crew.objects.select_related("truck").in_bulk({crew_id for crew_id, _ in planned})
    stone = _Stone.of(row.visit_id for key in planned for row in by_day[key])
    return [
        _load(crews[crew_id], on, by_day[crew_id, on], of, stone)
        for crew_id, on in sorted(planned, key=lambda key: (key[1], crews[key[0]].name))
    ]


def frame_of(truck: models.Truck, limits: Limits) -> Frame:
    """A truck's A-frame, by the shop's limits."""
    return Frame(
        length_mm=truck.frame_length_mm,
        height_mm=truck.frame_height_mm,
        depth_mm=truck.frame_thickness_mm,
        payload_kg=truck.payload_kg,
        side_kg=truck.frame_side_kg or truck.payload_kg * limits.frame_side_share,
        pad_mm=limits.frame_pad_mm,
        free_overhang_mm=limits.frame_free_overhang_mm,
        most_overhang_mm=limits.frame_most_overhang_mm,
        free_imbalance_kg=limits.frame_free_imbalance_kg,
        most_imbalance_kg=limits.frame_most_imbalance_kg,
        rack_height_mm=limits.rack_height_mm,
        rack_kg=limits.rack_kg,
    )


def _rows(plan: Plan | None, which: Mapping[str, object]) -> list[Row]:
    """What a plan places, and what is published of visits that it does not speak of."""
    in_force = Placement.objects.filter(
        withdrawn_at__isnull=True, visit__cancelled_at__isnull=True, **which
    )
    if plan is None:
        return list(in_force)
    spoken_of = {*plan.planned.values_list("visit", flat=True)}
    spoken_of |= {*plan.unplaced.values_list("visit", flat=True)}
    return [*plan.planned.filter(**which), *in_force.exclude(visit__in=spoken_of)]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Stone:
    """Visits with their jobs' pieces, and when these were set."""

    visits: Mapping[UUID, Visit]
    set_at: Mapping[UUID, list[dt.datetime]]

    @classmethod
    def of(cls, wanted: Iterable[UUID]) -> "_Stone":
        rows = Visit.objects.select_related("job__site", "job__customer").prefetch_related(
            "pieces", "job__pieces__cutouts", "job__pieces__remakes"
        )
        visits = rows.in_bulk(set(wanted))
        set_at = defaultdict[UUID, list[dt.datetime]](list)
        reports = StatusReport.objects.filter(
            kind=ReportKind.PIECE_SET, piece__job__in={visit.job_id for visit in visits.values()}
        )
        for piece_id, happened_at in reports.values_list("piece", "happened_at"):
            set_at[piece_id].append(happened_at)
        return cls(visits=visits, set_at=set_at)

    def brought(self, visit: Visit, before_at: dt.datetime) -> Iterator[models.Piece]:
        """The pieces of a visit that are not set before a moment; who lends a hand brings none."""
        if visit.kind == VisitKind.TEMPLATE or visit.assists_id:
            return
        own = {each.pk for each in visit.pieces.all()}
        for each in visit.job.pieces.all():
            if (not own or each.pk in own) and not self._is_set(each, before_at):
                yield each

    def _is_set(self, row: models.Piece, before_at: dt.datetime) -> bool:
        """Whether it stands there; a piece that is made again has to be set again."""
        again = [r.created_at for r in row.remakes.all() if r.created_at < before_at]
        return any(
            at < before_at and all(at > remade_at for remade_at in again)
            for at in self.set_at.get(row.pk, ())
        )


def _load(crew: Crew, on: dt.date, rows: list[Row], of: Shop, stone: _Stone) -> Load:
    return Load(
        crew=crew,
        on=on,
        frame=frame_of(crew.truck, Limits.of(of.limits)) if crew.truck else None,
        calls=tuple(_calls(rows, stone, moment(on, 0, ZoneInfo(of.time_zone)))),
    )


def _calls(rows: Iterable[Row], stone: _Stone, from_at: dt.datetime) -> Iterator[Call]:
    """The stops in order; a piece that two visits of a job ask for comes with the first."""
    known = set[str]()
    for number, row in enumerate(sorted(rows, key=lambda r: (r.starts_at, str(r.visit_id))), 1):
        visit = stone.visits[row.visit_id]
        brought = {
            f"{visit.job.number} {each.name}": piece(each) for each in stone.brought(visit, from_at)
        }
        pieces = {name: each for name, each in brought.items() if name not in known}
        known |= pieces.keys()
        yield Call(number=number, starts_at=row.starts_at, visit=visit, pieces=pieces)
