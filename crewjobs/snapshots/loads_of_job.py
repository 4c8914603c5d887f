"""The loads that bring one job's stone: as they are, or as other stone and limits would make them.

A piece that is supposed and not stored comes with the first visit that brings all that is left.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from zoneinfo import ZoneInfo

from crewjobs.domain import facts
from crewjobs.models import Placement
from crewjobs.snapshots.clocks import on_clock
from crewjobs.snapshots.jobs import shop
from crewjobs.snapshots.loads import Call, Load, frame_of, load


def loads_of_job(job: facts.Job, days: Iterable[Placement]) -> list[Load]:
    """The loads of the crew-days of some placements, if the job were as told."""
    zone = ZoneInfo(shop().time_zone)
    asked = {(row.crew_id, on_clock(row.starts_at, zone)[0]): row.crew for row in days}
    return [_supposed(load(crew, on), job) for (_, on), crew in asked.items()]


def _supposed(of: Load, job: facts.Job) -> Load:
    return replace(
        of,
        frame=frame_of(of.crew.truck, job.limits) if of.crew.truck else None,
        calls=tuple(_calls(of, job)),
    )


def _calls(of: Load, job: facts.Job) -> Iterator[Call]:
    told = {f"{job.number} {piece.name}": piece for piece in job.work.pieces}
    brought = set[str]()
    for call in of.calls:
        if call.job.number != job.number or not call.pieces:
            yield call
            continue
        stored = {f"{job.number} {row.name}" for row in call.job.pieces.all()}
        added = told.keys() - stored - brought if not call.visit.pieces.all() else set[str]()
        brought |= added
        names = call.pieces.keys() | added
        yield replace(call, pieces={name: told[name] for name in told if name in names})
