"""The first and the last line of every action: may they, and what was done."""

from datetime import datetime
from uuid import UUID

from django.db.models import Model

from crewjobs.actions.errors import NotAllowedError
from crewjobs.models import AuditEntry, Job, Person
from crewjobs.permissions import may, visible_jobs


def require(by: Person, verb: str) -> None:
    """Refuse somebody whose role does not allow the verb.

    Raises
    ------
    NotAllowedError
        Naming the verb.
    """
    if not may(by, verb):
        raise NotAllowedError(verb)


def write(
    verb: str,
    thing: Model,
    *,
    by: Person | None,
    now: datetime,
    job: Job | None = None,
    **detail: object,
) -> None:
    """Add a line to the log, in the transaction of the change itself."""
    thing_id: UUID = thing.pk
    AuditEntry.objects.create(
        at=now,
        by=by,
        verb=verb,
        thing=thing._meta.model_name or "",
        thing_id=thing_id,
        job=job,
        detail=detail,
    )


def locked_job(job_id: UUID, *, by: Person, verb: str) -> Job:
    """The job, for this transaction's use alone, if this person may do the verb to it.

    Raises
    ------
    NotAllowedError
        If their role does not allow the verb.
    Job.DoesNotExist
        If there is none, or they may not see it.
    """
    require(by, verb)
    return visible_jobs(by).select_for_update().get(pk=job_id)
