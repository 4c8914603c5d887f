"""Work left to licensed trades: what, and from when on they may come."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain.facts import Trade
from crewjobs.models import Job, Person, Shop, TradeWork

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
    """Leave work to a licensed trade, from a moment on that is told from what cures if not given.

    Raises
    ------
    InvalidError
        If nothing, or too much, is said.
    """
    job = log.locked_job(job_id, by=by, verb="item.change")
    if not 1 <= len(what := what.strip()) <= LONGEST:
        raise InvalidError({"/what": f"has {len(what)} letters, from 1 to {LONGEST} are allowed"})
    work = TradeWork.objects.create(
        created_at=now, job=job, trade=trade, what=what, earliest_at=earliest_at,
        earliest_is_set=earliest_at is not None,
    )  # fmt: skip
    refill(job.pk)
    work.refresh_from_db()
    log.write("trade.leave", work, by=by, now=now, job=job, trade=trade, what=what)
    return work


@transaction.atomic
def earliest(
    *, work_id: UUID, earliest_at: datetime | None, by: Person, now: datetime
) -> TradeWork:
    """Say from when on the trade may come; None lets it be told from what cures again.

    Raises
    ------
    ConflictError
        If the work is done already.
    """
    work = _locked(work_id, by=by)
    work.earliest_at, work.earliest_is_set = earliest_at, earliest_at is not None
    work.save(update_fields=["earliest_at", "earliest_is_set"])
    refill(work.job_id)
    work.refresh_from_db()
    shown = earliest_at.isoformat() if earliest_at else ""
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


def refill(job_id: UUID) -> None:
    """Tell from what cures when the trades of a job may come, where nobody has said it."""
    told = TradeWork.objects.filter(job=job_id, done_at__isnull=True, earliest_is_set=False)
    if told.exists():
        follow(snapshots.whole_jobs().get(pk=job_id), snapshots.shop())


def refill_all() -> None:
    """Do so for every job that goes on: the shop's limits are other ones."""
    told = TradeWork.objects.filter(done_at__isnull=True, earliest_is_set=False)
    shop, waiting = snapshots.shop(), Job.objects.going().filter(pk__in=told.values("job"))
    for row in snapshots.whole_jobs().filter(pk__in=waiting.values("pk")):
        follow(row, shop)


def follow(row: Job, shop: Shop) -> None:
    """Do so for a job whose rows are at hand."""
    waiting = [w for w in row.trade_work.all() if w.done_at is None and not w.earliest_is_set]
    found = snapshots.cured(row, shop) if waiting else None
    at = found.earliest_at if found else None
    TradeWork.objects.filter(pk__in=[w.pk for w in waiting if w.earliest_at != at]).update(
        earliest_at=at
    )


def _locked(work_id: UUID, *, by: Person) -> TradeWork:
    work = TradeWork.objects.get(pk=work_id)
    job = log.locked_job(work.job_id, by=by, verb="item.change")
    work.refresh_from_db()
    work.job = job
    if work.done_at:
        raise ConflictError(f"the work is done already: {work.what}")
    return work
