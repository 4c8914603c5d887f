"""Remakes: a broken or wrong piece is made again, and a crew comes again where one has been."""

import datetime as dt
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from crewjobs.actions import hours, log, stone, visits
from crewjobs.actions.errors import ConflictError, InvalidError, RefusedError
from crewjobs.actions.inspections import locked_piece
from crewjobs.actions.orders import VisitEntry
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.findings import Finding, Severity
from crewjobs.models import Job, Person, Piece, Remake, RemakeReason, Visit


@transaction.atomic
def order(
    *,
    piece_id: UUID,
    by: Person,
    now: datetime,
    reason: RemakeReason,
    ready_on: dt.date,
    note: str = "",
) -> Remake:
    """Have a piece made again. Once a crew has been there, a return visit is added.

    Raises
    ------
    InvalidError
        If it should be ready before today.
    ConflictError
        If it is being made again already.
    RefusedError
        If the job is signed off or cancelled.
    """
    piece = locked_piece(piece_id, by=by, verb="piece.remake")
    job = piece.job
    _refuse_over(job)
    if ready_on < now.astimezone(ZoneInfo(job.site.time_zone)).date():
        raise InvalidError({"/ready_on": f"{ready_on} is past"})
    if piece.remakes.filter(made_at__isnull=True).exists():
        raise ConflictError(f"piece {piece.name} is being made again already")
    made = Remake.objects.create(
        created_at=now, piece=piece, reason=reason, note=note, ordered_by=by, ready_on=ready_on
    )
    job.stone_ready_on = max(job.stone_ready_on or ready_on, ready_on)
    stone.touch(job, now=now)
    log.write("piece.remake", piece, by=by, now=now, job=job, reason=reason, ready_on=str(ready_on))
    if Stage(job.stage).rank >= Stage.ON_SITE.rank:
        _come_again(piece, ready_on, by=by, now=now)
    return made


@transaction.atomic
def made(*, remake_id: UUID, by: Person, now: datetime) -> Remake:
    """The piece is there again. It is to be inspected like any other.

    Raises
    ------
    ConflictError
        If that was said already.
    """
    remake = Remake.objects.get(pk=remake_id)
    piece = locked_piece(remake.piece_id, by=by, verb="piece.remake")
    remake.refresh_from_db()
    if remake.made_at:
        raise ConflictError(f"piece {piece.name} was made again already")
    remake.made_at = now
    remake.save(update_fields=["made_at"])
    log.write("piece.remade", piece, by=by, now=now, job=piece.job)
    return remake


def _refuse_over(job: Job) -> None:
    if job.cancelled_at is None and job.stage != Stage.SIGNED_OFF:
        return
    state = "cancelled" if job.cancelled_at else job.stage
    message = f"job {job.number} is {state}: book a new job for the piece"
    raise RefusedError([Finding(code="job_is_over", severity=Severity.STOP, message=message)])


def _come_again(piece: Piece, ready_on: dt.date, *, by: Person, now: datetime) -> Visit:
    """Take the piece along on the return visit that has no place yet, or on a new one."""
    job = piece.job
    waiting = job.visits.filter(
        kind=VisitKind.RETURN, cancelled_at__isnull=True, started_at__isnull=True
    ).exclude(placements__withdrawn_at__isnull=True, placements__isnull=False)
    visit = waiting.first()
    if visit is None:
        entry = VisitEntry(kind=VisitKind.RETURN, earliest_on=ready_on)
        visit = visits.write(job, entry, where="", now=now)
        log.write("visit.add", visit, by=by, now=now, job=job, kind=VisitKind.RETURN)
    visit.earliest_on = max(visit.earliest_on or ready_on, ready_on)
    visit.save()
    visit.pieces.add(piece)
    hours.refresh(job, now=now)
    return visit
