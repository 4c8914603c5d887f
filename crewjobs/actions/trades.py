"""Work left to licensed trades: what, and from when on they may come."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain.facts import Trade
from crewjobs.models import Person, TradeWork

LONGEST = 200
"""Letters of one line of work."""


@transaction.atomic
def leave(
    *,
    job_id: UUID,
    trade: Trade,
    what: str,
    by: Person,
    now: datetime,
    earliest_at: datetime | None = None,
) -> TradeWork:
    """Leave work to a licensed trade.

    Raises
    ------
    InvalidError
        If nothing, or too much, is said.
    """
    job = log.locked_job(job_id, by=by, verb="item.change")
    if not 1 <= len(what := what.strip()) <= LONGEST:
        raise InvalidError({"/what": f"has {len(what)} letters, from 1 to {LONGEST} are allowed"})
    work = TradeWork.objects.create(
        created_at=now, job=job, trade=trade, what=what, earliest_at=earliest_at
    )
    log.write("trade.leave", work, by=by, now=now, job=job, trade=trade, what=what)
    return work


@transaction.atomic
def earliest(*, work_id: UUID, earliest_at: datetime, by: Person, now: datetime) -> TradeWork:
    """Say from when on the trade may come: adhesive and silicone must have cured.

    Raises
    ------
    ConflictError
        If the work is done already.
    """
    work = _locked(work_id, by=by)
    work.earliest_at = earliest_at
    work.save(update_fields=["earliest_at"])
    shown = earliest_at.isoformat()
    log.write("trade.earliest", work, by=by, now=now, job=work.job, earliest_at=shown)
    return work


@transaction.atomic
def done(*, work_id: UUID, by: Person, now: datetime) -> TradeWork:
    """Say that the trade has done its work.

    Raises
    ------
    ConflictError
        If that was said already.
    """
    work = _locked(work_id, by=by)
    work.done_at = now
    work.save(update_fields=["done_at"])
    log.write("trade.done", work, by=by, now=now, job=work.job)
    return work


def _locked(work_id: UUID, *, by: Person) -> TradeWork:
    work = TradeWork.objects.get(pk=work_id)
    job = log.locked_job(work.job_id, by=by, verb="item.change")
    work.refresh_from_db()
    work.job = job
    if work.done_at:
        raise ConflictError(f"the work is done already: {work.what}")
    return work
