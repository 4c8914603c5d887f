"""Inspections of finished pieces: each is kept, the newest counts."""

from collections.abc import Mapping
from datetime import datetime
from math import isfinite
from uuid import UUID

from django.db import transaction

from crewjobs.actions import log
from crewjobs.actions.errors import InvalidError
from crewjobs.models import Inspection, Person, Piece


@transaction.atomic
def record(
    *,
    piece_id: UUID,
    by: Person,
    now: datetime,
    passed: bool,
    note: str = "",
    measurements: Mapping[str, float] | None = None,
) -> Inspection:
    """Say whether a piece passed, and what was measured, in millimetres by name.

    Raises
    ------
    InvalidError
        If it failed without a note, or a measurement is not a number.
    """
    piece = locked_piece(piece_id, by=by, verb="piece.inspect")
    if not passed and not note.strip():
        raise InvalidError({"/note": "say what is wrong with the piece"})
    measured = dict(measurements or {})
    if wrong := sorted(name for name, size_mm in measured.items() if not isfinite(size_mm)):
        raise InvalidError({f"/measurements/{name}": "is not a number" for name in wrong})
    made = Inspection.objects.create(
        created_at=now, piece=piece, by=by, passed=passed, note=note, measurements=measured
    )
    job = piece.job
    log.write("piece.inspect", piece, by=by, now=now, job=job, passed=passed, note=note)
    return made


def locked_piece(piece_id: UUID, *, by: Person, verb: str) -> Piece:
    """The piece, its job locked, if this person may do the verb to it.

    Raises
    ------
    Piece.DoesNotExist, Job.DoesNotExist
        If there is none, or they may not see its job.
    """
    piece = Piece.objects.get(pk=piece_id)
    piece.job = log.locked_job(piece.job_id, by=by, verb=verb)
    return piece
