"""What customers are told, and of what. Called inside the transaction of the cause.

Who is told by which channel is asked here and again when the message is sent.
"""

from collections.abc import Iterable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from crewjobs.actions import queueing
from crewjobs.domain.reminding import (
    Due,
    MessageKind,
    arrival_window,
    text_leaves_at,
    told_of_a_visit,
)
from crewjobs.models import Channel, Job, OutboxMessage, OutboxStatus, Placement, Visit
from crewjobs.snapshots.letters import channels

NEWS = (MessageKind.VISIT_BOOKED, MessageKind.VISIT_MOVED, MessageKind.VISIT_CANCELLED)
"""What changes what a customer expects."""


def visit_published(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Tell that a visit is booked, and remind of it two days before."""
    _tell_of_place(MessageKind.VISIT_BOOKED, visit, placement, now)


def visit_moved(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Tell the new hour, and drop what still waits about the old one.

    Nothing is said of a move inside the arrival window that the customer knows.
    """
    told = visit.messages.exclude(status=OutboxStatus.SUPERSEDED)
    if _expected_at(told) == _begins_at(placement, visit.job):
        return
    queueing.supersede(visit)
    kind = MessageKind.VISIT_MOVED if _may_expect_us(visit) else MessageKind.VISIT_BOOKED
    _tell_of_place(kind, visit, placement, now)


def visit_withdrawn(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Drop what still waits, and tell a customer who expects the crew that it does not come."""
    queueing.supersede(visit)
    if placement.starts_at <= now or not _may_expect_us(visit):
        return
    _tell(
        [Due(kind=MessageKind.VISIT_CANCELLED, due_at=now)],
        about=f"visit:{visit.pk}:s{visit.sequence}",
        job=visit.job,
        visit=visit,
        begins_at=_begins_at(placement, visit.job),
        now=now,
    )


def on_the_way(*, visit: Visit, now: datetime) -> None:
    """Tell that the crew is coming, once a day however many of the crew say so."""
    day = now.astimezone(ZoneInfo(visit.job.site.time_zone)).date()
    due = Due(kind=MessageKind.ON_THE_WAY, due_at=now)
    _tell([due], about=f"visit:{visit.pk}:{day}", job=visit.job, visit=visit, now=now)


def not_on_the_way(*, visit: Visit, cause: str) -> None:
    """Drop the word that the crew is coming where it has not left, so that it may be said anew."""
    queueing.supersede(visit, only=MessageKind.ON_THE_WAY, cause=cause)


def signed_off(*, job: Job, now: datetime) -> None:
    """Thank, and tell what is left to licensed trades."""
    due = Due(kind=MessageKind.SIGNED_OFF, due_at=now)
    _tell([due], about=f"job:{job.pk}", job=job, now=now)


def _tell_of_place(kind: MessageKind, visit: Visit, placement: Placement, now: datetime) -> None:
    zone = visit.job.site.time_zone
    _tell(
        told_of_a_visit(kind, starts_at=placement.starts_at, time_zone=zone, now=now),
        about=f"visit:{visit.pk}:s{visit.sequence}",
        job=visit.job,
        visit=visit,
        begins_at=_begins_at(placement, visit.job),
        now=now,
    )


def _tell(
    dues: Iterable[Due],
    *,
    about: str,
    job: Job,
    visit: Visit | None = None,
    begins_at: datetime | None = None,
    now: datetime,
) -> None:
    """Write one message for each that is due and each way that the customer takes."""

    def message(due: Due, channel: Channel) -> OutboxMessage:
        due_at = due.due_at
        if channel is Channel.TEXT:
            due_at = text_leaves_at(
                due.kind, due_at, time_zone=job.site.time_zone, begins_at=begins_at
            )
        return OutboxMessage(
            created_at=now,
            kind=due.kind,
            channel=channel,
            dedupe_key=f"{about}:{due.kind}:{channel}",
            visit=visit,
            job=job,
            sequence=visit.sequence if visit else 0,
            payload={"begins_at": begins_at.isoformat()} if begins_at else {},
            due_at=due_at,
            next_at=due_at,
        )

    ways = channels(job.customer)
    queueing.enqueue([message(due, channel) for due in dues for channel in ways])


def _begins_at(placement: Placement, job: Job) -> datetime:
    """The beginning of the arrival window, which is what a customer knows of a place."""
    window = arrival_window(placement.starts_at, job.site.time_zone)
    return window.starts_at.astimezone(UTC)


def _may_expect_us(visit: Visit) -> bool:
    """Whether the last news that was tried, and so may have arrived, was that we come."""
    return _expected_at(visit.messages.filter(attempts__gt=0)) is not None


def _expected_at(told: QuerySet[OutboxMessage]) -> datetime | None:
    """The hour of which the newest of these news speaks, if it is that we come."""
    newest = told.filter(kind__in=NEWS).order_by("-sequence", "-created_at").first()
    if newest is None or newest.kind == MessageKind.VISIT_CANCELLED:
        return None
    return datetime.fromisoformat(newest.payload["begins_at"])
