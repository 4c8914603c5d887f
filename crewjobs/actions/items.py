"""Open items: what is left to do at a job, closed by the crew or accepted by the customer."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.models import OpenItem, Person

LONGEST = 200
"""Letters of an item: it stands on one line of the sign-off."""


@transaction.atomic
def open(*, job_id: UUID, what: str, by: Person, now: datetime) -> OpenItem:  # noqa: A001
    """Note something that is left to do.

    Raises
    ------
    InvalidError
        If nothing, or too much, is said.
    ConflictError
        If the job is signed off.
    """
    job = log.locked_job(job_id, by=by, verb="item.change")
    if not 1 <= len(what := what.strip()) <= LONGEST:
        raise InvalidError({"/what": f"has {len(what)} letters, from 1 to {LONGEST} are allowed"})
    if hasattr(job, "sign_off"):
        raise ConflictError(f"job {job.number} is signed off")
    item = OpenItem.objects.create(created_at=now, job=job, what=what, opened_by=by)
    log.write("item.open", item, by=by, now=now, job=job, what=what)
    return item


@transaction.atomic
def close(*, item_id: UUID, by: Person, now: datetime) -> OpenItem:
    """Say that an item is done.

    Raises
    ------
    ConflictError
        If it is closed already.
    """
    item = _locked(item_id, by=by, verb="item.change")
    item.closed_at, item.closed_by = now, by
    item.save(update_fields=["closed_at", "closed_by"])
    log.write("item.close", item, by=by, now=now, job=item.job)
    return item


@transaction.atomic
def accept(*, item_id: UUID, by: Person, now: datetime) -> OpenItem:
    """Note that the customer accepts in writing that an item stays open.

    Raises
    ------
    ConflictError
        If it is closed already.
    """
    item = _locked(item_id, by=by, verb="job.sign_off")
    item.is_accepted = True
    item.save(update_fields=["is_accepted"])
    log.write("item.accept", item, by=by, now=now, job=item.job)
    return item


def _locked(item_id: UUID, *, by: Person, verb: str) -> OpenItem:
    item = OpenItem.objects.get(pk=item_id)
    job = log.locked_job(item.job_id, by=by, verb=verb)
    item.refresh_from_db()
    item.job = job
    if item.closed_at:
        raise ConflictError(f"the item is closed already: {item.what}")
    return item
