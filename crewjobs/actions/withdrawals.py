"""Reports that are withdrawn: one sent to the wrong visit, or of what did not happen.

The row stays to be read. Everything that follows from reports is derived anew without it; what
somebody did or signed meanwhile stays.
"""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import prefetch_related_objects

from crewjobs import snapshots
from crewjobs.actions import hours, learning, log, messages, reports, stages, stone, trades
from crewjobs.actions.errors import InvalidError, NotAllowedError
from crewjobs.domain import progress
from crewjobs.domain.facts import HoldReason, ReportKind, Stage, VisitKind
from crewjobs.models import Hold, Job, Person, Role, StatusReport, Visit

LONGEST = 200
"""Letters of a reason."""


@transaction.atomic
def withdraw(*, report_id: UUID, reason: str, by: Person, now: datetime) -> StatusReport:
    """Withdraw a report, once however often that is asked; the first reason stands.

    Raises
    ------
    Visit.DoesNotExist
        If this person never had the visit.
    NotAllowedError
        If they are neither of the office nor the one who sent it.
    InvalidError
        If no reason is given, or a long one.
    """
    log.require(by, "report.withdraw")
    visit = reports.locked_visit(StatusReport.objects.get(pk=report_id).visit_id, by=by)
    row = StatusReport.objects.select_related("piece", "seam").get(pk=report_id)
    if by.role != Role.DISPATCHER and row.person_id != by.pk:
        raise NotAllowedError("report.withdraw")
    if row.withdrawn_at:
        return row
    if not 1 <= len(reason := reason.strip()) <= LONGEST:
        said = f"has {len(reason)} letters, from 1 to {LONGEST} are allowed"
        raise InvalidError({"/reason": said})
    _take_back(visit, row, reason, by=by, now=now)
    told = {"kind": row.kind, "happened_at": row.happened_at.isoformat(), "reason": reason}
    log.write("report.withdraw", visit, by=by, now=now, job=visit.job, **told)
    return row


def _take_back(visit: Visit, row: StatusReport, reason: str, *, by: Person, now: datetime) -> None:
    job, before, was_over = visit.job, snapshots.job(visit.job_id), visit.finished_at is not None
    row.withdrawn_at, row.withdrawn_by, row.withdrawn_reason = now, by, reason
    row.save()
    prefetch_related_objects([job], *reports.STONE)
    reports.derive_anew(visit, snapshots.work(job, only=visit.pieces.all()), now=now)
    stages.fall_back(job, before, _reached(job), by=by, now=now)
    _release(job, row, by=by, now=now)
    if row.kind == ReportKind.ON_THE_WAY:
        _stop_news(visit, row)
    if visit.started_at is None:
        hours.refresh(job, now=now)
    trades.refill(job.pk)
    if was_over:
        learning.queue(cause=f"withdrawn:{row.pk}", now=now)


def _reached(job: Job) -> Stage:
    """The farthest stage that the reports of the job's visits still speak for."""
    whole = snapshots.whole_jobs().get(pk=job.pk)
    found = [
        progress.derive(
            snapshots.visit_reports(visit),
            kind=VisitKind(visit.kind),
            work=snapshots.work(whole, only=visit.pieces.all()),
        ).stage
        for visit in whole.visits.all()
    ]
    return max((stage for stage in found if stage), key=lambda s: s.rank, default=Stage.BOOKED)


def _release(job: Job, row: StatusReport, *, by: Person, now: datetime) -> None:
    """Take away the hold that this report placed, unless another says the same."""
    reason = HoldReason.SITE_NOT_READY
    others = StatusReport.objects.standing().filter(visit__job=job, kind=ReportKind.NO_GO)
    if row.kind != ReportKind.NO_GO or others.exists():
        return
    placed = Hold.objects.filter(
        job=job, reason=reason, released_at__isnull=True,
        placed_by=row.person, created_at=row.created_at,
    )  # fmt: skip
    if placed.update(released_at=now, released_by=by):
        stone.touch(job, now=now)
        log.write("job.release", job, by=by, now=now, job=job, reason=reason)


def _stop_news(visit: Visit, row: StatusReport) -> None:
    """Let the customer not be told that a crew comes which nobody says has set out."""
    if not visit.reports.standing().filter(kind=row.kind).exists():
        messages.not_on_the_way(visit=visit, cause=str(row.pk))
