"""Jobs: booked from a work order, changed, held, released, cancelled."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import models
from crewjobs.actions import hours, log, stone, visits
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.actions.orders import CustomerEntry, SiteEntry, VisitEntry, WorkOrder
from crewjobs.domain.facts import HoldReason, VisitKind
from crewjobs.models import Customer, Job, Person, Shop, Site

MAY_CHANGE = frozenset(
    {"title", "priority", "due_on", "stone_ready_on", "balance_cents", "note", "tear_out_mm",
     "cabinet_run_mm", "temperature_deg_c", "has_dishwasher", "off_level_mm"}
)  # fmt: skip
"""The columns of a job that the office edits in place."""


@transaction.atomic
def book(*, order: WorkOrder, by: Person, now: datetime) -> Job:
    """Make a job of a work order: the whole of it, or nothing.

    Raises
    ------
    InvalidError
        If the number is taken or a skill is unknown.
    """
    log.require(by, "job.book")
    shop = Shop.objects.select_for_update().get()
    job = _job(order, shop, now=now)
    stone.write_stone(job, order.work, order.finishes, now=now)
    stone.write_route(job, order.work.route, now=now)
    for number, entry in enumerate(order.visits or _usual_visits(order)):
        visits.write(job, entry, where=f"/visits/{number}", now=now)
    for reason in order.holds:
        models.Hold.objects.create(created_at=now, job=job, reason=reason, placed_by=by)
    hours.refresh(job, now=now)
    log.write("job.book", job, by=by, now=now, job=job, number=job.number)
    return job


@transaction.atomic
def change(
    *, job_id: UUID, changes: Mapping[str, object], version: int | None, by: Person, now: datetime
) -> Job:
    """Edit columns of a job; `version` is the one that was read, None where nobody asked.

    Raises
    ------
    InvalidError
        If a column is not to be edited.
    ConflictError
        If somebody else changed the job in between.
    """
    job = log.locked_job(job_id, by=by, verb="job.change")
    if version is not None and version != job.version:
        raise ConflictError(f"job {job.number} has been changed: it is at version {job.version}")
    if unknown := sorted(set(changes) - MAY_CHANGE):
        raise InvalidError({f"/{name}": "cannot be changed here" for name in unknown})
    before = {name: str(getattr(job, name)) for name in changes}
    for name, value in changes.items():
        setattr(job, name, value)
    stone.touch(job, now=now)
    after = {name: str(value) for name, value in changes.items()}
    log.write("job.change", job, by=by, now=now, job=job, before=before, after=after)
    hours.refresh(job, now=now)
    return job


@transaction.atomic
def hold(
    *, job_id: UUID, reason: HoldReason, note: str = "", by: Person, now: datetime
) -> models.Hold:
    """Let a job wait for a reason. It is not planned until every hold is released.

    Raises
    ------
    ConflictError
        If it is held for that reason already.
    """
    job = log.locked_job(job_id, by=by, verb="job.hold")
    if job.holds.filter(reason=reason, released_at__isnull=True).exists():
        raise ConflictError(f"job {job.number} is already held: {reason}")
    held = models.Hold.objects.create(
        created_at=now, job=job, reason=reason, note=note, placed_by=by
    )
    stone.touch(job, now=now)
    log.write("job.hold", job, by=by, now=now, job=job, reason=reason, note=note)
    return held


@transaction.atomic
def release(*, job_id: UUID, reason: HoldReason, by: Person, now: datetime) -> Job:
    """Take a hold away.

    Raises
    ------
    ConflictError
        If the job is not held for that reason.
    """
    job = log.locked_job(job_id, by=by, verb="job.hold")
    holds = job.holds.filter(reason=reason, released_at__isnull=True)
    if not holds.update(released_at=now, released_by=by):
        raise ConflictError(f"job {job.number} is not held: {reason}")
    stone.touch(job, now=now)
    log.write("job.release", job, by=by, now=now, job=job, reason=reason)
    return job


@transaction.atomic
def cancel(*, job_id: UUID, reason: str, by: Person, now: datetime) -> Job:
    """Cancel a job and every visit of it that has not ended.

    Raises
    ------
    InvalidError
        Without a reason.
    ConflictError
        If it is cancelled already.
    """
    job = log.locked_job(job_id, by=by, verb="job.cancel")
    if not reason.strip():
        raise InvalidError({"/reason": "say why the job is cancelled"})
    if job.cancelled_at:
        raise ConflictError(f"job {job.number} is cancelled already")
    for visit in job.visits.select_for_update().filter(
        cancelled_at__isnull=True, finished_at__isnull=True
    ):
        visits.withdraw(visit, now=now)
        visit.cancelled_at = now
        visit.save()
    job.cancelled_at, job.cancel_reason = now, reason.strip()
    stone.touch(job, now=now)
    log.write("job.cancel", job, by=by, now=now, job=job, reason=reason)
    return job


def _job(order: WorkOrder, shop: Shop, *, now: datetime) -> Job:
    customer = _customer(order.customer, now=now)
    return Job.objects.create(
        created_at=now,
        changed_at=now,
        number=_number(order, shop),
        title=order.title,
        customer=customer,
        site=_site(order.site, customer, shop, now=now),
        priority=order.priority,
        due_on=order.due_on,
        stone_ready_on=order.stone_ready_on,
        tear_out_mm=order.work.tear_out_mm,
        cabinet_run_mm=order.work.cabinet_run_mm,
        temperature_deg_c=order.work.temperature_deg_c,
        has_dishwasher=order.work.has_dishwasher,
        off_level_mm=order.work.off_level_mm,
        balance_cents=order.balance_cents,
        note=order.note,
    )


def _number(order: WorkOrder, shop: Shop) -> str:
    """The order's own number, or the shop's next one that nobody has taken."""
    if order.number:
        if Job.objects.filter(number=order.number).exists():
            raise InvalidError({"/number": f"there is a job {order.number} already"})
        return order.number
    while Job.objects.filter(number=str(shop.next_job_number)).exists():
        shop.next_job_number += 1
    number = str(shop.next_job_number)
    shop.next_job_number += 1
    shop.save(update_fields=["next_job_number"])
    return number


def _customer(entry: CustomerEntry, *, now: datetime) -> Customer:
    """The customer of this name and address, or a new one."""
    found = Customer.objects.filter(
        name=entry.name, email__iexact=entry.email, phone=entry.phone
    ).first()
    return found or Customer.objects.create(
        created_at=now,
        name=entry.name,
        email=entry.email,
        phone=entry.phone,
        language=entry.language,
        takes_email=entry.takes_email,
        takes_texts=entry.takes_texts,
        texts_agreed_at=now if entry.takes_texts else None,
    )


def _site(entry: SiteEntry, customer: Customer, shop: Shop, *, now: datetime) -> Site:
    site = Site.objects.create(
        created_at=now,
        customer=customer,
        street=entry.street,
        town=entry.town,
        region=entry.region,
        postal_code=entry.postal_code,
        lat=entry.lat,
        lon=entry.lon,
        time_zone=entry.time_zone or shop.time_zone,
        access_note=entry.access_note,
    )
    for contact in entry.contacts:
        models.Contact.objects.create(
            created_at=now,
            site=site,
            name=contact.name,
            part=contact.part,
            phone=contact.phone,
            email=contact.email,
        )
    for each in entry.hours:
        models.SiteHours.objects.create(
            created_at=now,
            site=site,
            kind=each.kind,
            weekday=each.weekday,
            on=each.on,
            starts_at=each.starts_at,
            ends_at=each.ends_at,
        )
    return site


def _usual_visits(order: WorkOrder) -> tuple[VisitEntry, ...]:
    install = VisitEntry(kind=VisitKind.INSTALL, due_on=order.due_on)
    if order.work.pieces:
        return (install,)
    return (VisitEntry(kind=VisitKind.TEMPLATE), install)
