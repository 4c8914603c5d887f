"""What somebody measured of a job: of its site, pieces, cutouts and seams; and its way in.

The stone itself stays as it is: new sizes are taken over whole, elsewhere.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from math import isfinite
from uuid import UUID

from django.db import models as tables
from django.db import transaction

from crewjobs.actions import hours, log, stone
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain import facts
from crewjobs.models import Cutout, Job, Person, Piece, Seam

Changes = Mapping[str, object]

OF_SITE = frozenset({"off_level_mm", "has_dishwasher"})
OF_PIECE = frozenset({"overhang_mm", "span_mm", "dishwasher_hole_mm"})
OF_CUTOUT = frozenset({"front_rail_mm", "back_rail_mm", "is_supported", "cabinet_mm"})
OF_SEAM = frozenset(
    {"to_sink_mm", "is_over_dishwasher", "adhesive", "gap_mm", "edge_lippage_mm", "lippage_mm"}
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Measures:
    """What changes: columns of the site, and of rows by their ids; the rest stays."""

    site: Changes = field(default_factory=dict)
    pieces: Mapping[UUID, Changes] = field(default_factory=dict)
    cutouts: Mapping[UUID, Changes] = field(default_factory=dict)
    seams: Mapping[UUID, Changes] = field(default_factory=dict)


@transaction.atomic
def change(*, job_id: UUID, measures: Measures, version: int, by: Person, now: datetime) -> Job:
    """Write down what was measured; `version` is that of the job as it was read.

    Raises
    ------
    InvalidError
        If a column is not measured here, or a size cannot be.
    ConflictError
        If somebody else changed the job in between.
    """
    job = _unchanged(job_id, version, by=by, verb="stone.change")
    _write(job, measures.site, OF_SITE, "/site")
    for name, table, may, changed in (
        ("pieces", Piece.objects.filter(job=job), OF_PIECE, measures.pieces),
        ("cutouts", Cutout.objects.filter(piece__job=job), OF_CUTOUT, measures.cutouts),
        ("seams", Seam.objects.filter(job=job), OF_SEAM, measures.seams),
    ):
        rows = {row.pk: row for row in table.filter(pk__in=changed)}
        for row_id, values in changed.items():
            if row_id not in rows:
                raise ConflictError(f"job {job.number} has been changed: read it again")
            _write(rows[row_id], values, may, f"/{name}/{row_id}")
            rows[row_id].save(update_fields=list(values))
    stone.touch(job, now=now)
    log.write("stone.measure", job, by=by, now=now, job=job, site=sorted(measures.site))
    hours.refresh(job, now=now)
    return job


@transaction.atomic
def change_route(
    *,
    job_id: UUID,
    route: Iterable[facts.RouteElement],
    version: int,
    by: Person,
    now: datetime,
) -> Job:
    """Take over a new way in, if nobody else changed the job in between.

    Raises
    ------
    ConflictError
        If somebody did.
    """
    _unchanged(job_id, version, by=by, verb="route.change")
    return stone.replace_route(job_id=job_id, route=route, by=by, now=now)


def _unchanged(job_id: UUID, version: int, *, by: Person, verb: str) -> Job:
    job = log.locked_job(job_id, by=by, verb=verb)
    if version != job.version:
        raise ConflictError(f"job {job.number} has been changed: it is at version {job.version}")
    return job


def _write(row: tables.Model, values: Changes, may: frozenset[str], where: str) -> None:
    problems = {}
    for name, value in values.items():
        is_size = name.endswith("_mm") and isinstance(value, int | float)
        if name not in may:
            problems[f"{where}/{name}"] = "is not measured here"
        elif is_size and not (isfinite(value) and value >= 0):  # type: ignore[arg-type,operator]
            problems[f"{where}/{name}"] = "must be a length, 0 or more"
        setattr(row, name, value)
    if problems:
        raise InvalidError(problems)
