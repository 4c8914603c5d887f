"""One piece drawn anew, or a new one, by its outline: what hangs on it stays."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import models, snapshots
from crewjobs.actions import hours, log, stone
from crewjobs.actions.errors import ConflictError, InvalidError, RefusedError
from crewjobs.domain import facts, outlines, pieces
from crewjobs.domain.facts import Stage
from crewjobs.models import Job, Person, Piece


@transaction.atomic
def draw(*, job_id: UUID, drawn: facts.Piece, version: int, by: Person, now: datetime) -> Piece:
    """Give the piece of this name a new outline, thickness and kind; add it if there is none.

    Its cutouts, supports, seams, measures and inspections stay; `version` is that of the job as it
    was read.

    Raises
    ------
    RefusedError
        Once the stone has been set.
    ConflictError
        If somebody else changed the job in between.
    InvalidError
        If it cannot be cut as drawn, or its cutouts do not lie in it any more.
    """
    job = log.locked_job(job_id, by=by, verb="stone.change")
    if version != job.version:
        raise ConflictError(f"job {job.number} has been changed: it is at version {job.version}")
    if Stage(job.stage).rank >= Stage.INSTALLED.rank:
        raise RefusedError([stone.too_late(job)])
    row = job.pieces.filter(name=drawn.name).first() or _new(job, drawn, now)
    row.outline_mm = [list(point) for point in drawn.outline_mm]
    row.thickness_mm, row.kind = drawn.thickness_mm, drawn.kind
    _refuse_undrawable(row)
    row.save()
    stone.touch(job, now=now)
    log.write("stone.change", job, by=by, now=now, job=job, pieces=[drawn.name])
    hours.refresh(job, now=now)
    return row


def _new(job: Job, drawn: facts.Piece, now: datetime) -> Piece:
    """The last to be set, of the stone that the others are of."""
    last = job.pieces.last()
    row = models.Piece(job=job, name=drawn.name, created_at=now)
    if last:
        row.position = last.position + 1
        row.material, row.density_kg_m3 = last.material, last.density_kg_m3
        row.edge_finish = last.edge_finish
    return row


def _refuse_undrawable(row: Piece) -> None:
    piece = snapshots.piece(row)
    if faults := outlines.outline_refusals(piece):
        raise InvalidError({"/outline": "; ".join(faults)})
    if misplaced := dict(outlines.cutout_refusals(piece)):
        raise InvalidError({f"/cutouts/{place}": said for place, said in misplaced.items()})
    try:
        pieces.area_m2(piece)
    except ValueError as error:
        raise InvalidError({"/outline": str(error)}) from error
