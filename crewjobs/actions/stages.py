"""A job's stage: entered by somebody's act, or followed to where its reports have come.

Refuses to know what a stage needs: the rules say it.
"""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log, stone
from crewjobs.actions.errors import RefusedError
from crewjobs.domain import facts, stages
from crewjobs.domain.facts import Stage
from crewjobs.domain.findings import Finding
from crewjobs.models import Job, Person


@transaction.atomic
def advance(*, job_id: UUID, entering: Stage, by: Person, now: datetime) -> Job:
    """Say that a job has come to its next stage. One that is published goes on to planned.

    Raises
    ------
    RefusedError
        With every reason why it has not.
    """
    job = log.locked_job(job_id, by=by, verb="job.advance")
    enter(job, entering, by=by, now=now)
    if entering is Stage.READY:
        follow(job, Stage.PLANNED, by=by, now=now)
    return job


def enter(job: Job, entering: Stage, *, by: Person | None, now: datetime) -> None:
    """Let a locked job into a stage, in the caller's transaction.

    Raises
    ------
    RefusedError
        With every reason against it.
    """
    if refused := stages.stops(stages.advance(snapshots.job(job.pk), entering)):
        raise RefusedError(refused)
    _move(job, entering, by=by, now=now)


def follow(job: Job, reached: Stage, *, by: Person, now: datetime) -> tuple[Finding, ...]:
    """Let a locked job go as far towards a reached stage as its rules do; what stops it there."""
    if reached.rank <= Stage(job.stage).rank:
        return ()
    stage, refused = stages.follow(snapshots.job(job.pk), reached)
    if stage is not Stage(job.stage):
        _move(job, stage, by=by, now=now)
    return refused


def fall_back(job: Job, before: facts.Job, reached: Stage, *, by: Person, now: datetime) -> None:
    """Let a locked job go back to where its reports still speak for, one having been withdrawn."""
    stage = stages.back(before, snapshots.job(job.pk), reached)
    if stage is not Stage(job.stage):
        _move(job, stage, by=by, now=now)


def _move(job: Job, stage: Stage, *, by: Person | None, now: datetime) -> None:
    before, job.stage = job.stage, stage
    stone.touch(job, now=now)
    log.write("job.advance", job, by=by, now=now, job=job, before=before, after=stage)
