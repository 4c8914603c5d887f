"""What customers are told, and of what. Called inside the transaction of the cause.

Who is told by which channel is asked here and again when the message is sent.
"""

from collections.abc import Iterable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from crewjobs.actions import queueing
from crewjobs.domain.reminding import (
    Due,
    MessageKind,
    arrival_window,
    text_leaves_at,
    told_of_a_visit,
)
from crewjobs.models import (
    Channel,
    Job,
    OutboxMessage,
    OutboxStatus,
    Placement,
    PlannedVisit,
    Visit,
)
from crewjobs.snapshots.letters import channels

NEWS = (MessageKind.VISIT_BOOKED, MessageKind.VISIT_MOVED, MessageKind.VISIT_CANCELLED)
"""What changes what a customer expects."""


def visit_published(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Tell that a visit is booked, and remind of it two days before."""
    queueing.enqueue(_of_place(MessageKind.VISIT_BOOKED, visit, placement, now))


def visit_moved(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Tell the new hour, and drop what still waits about the old one.

    Nothing is said of a move inside the arrival window that the customer knows.
    """
    if _knows(visit, placement):
        return
    queueing.supersede(visit)
    queueing.enqueue(_of_place(_kind_of_move(visit), visit, placement, now))


def visit_withdrawn(*, visit: Visit, placement: Placement, now: datetime) -> None:
    """Drop what still waits, and tell a customer who expects the crew that it does not come."""
    queueing.supersede(visit)
    queueing.enqueue(_of_withdrawal(visit, placement, now))


def of_change(
    *, visit: Visit, before: Placement | None, after: Placement | PlannedVisit | None, now: datetime
) -> list[OutboxMessage]:
    """The messages that publishing a change of place would write. None is written here."""
    if after is None:
        return _of_withdrawal(visit, before, now) if before else []
    if before is None:
        return _of_place(MessageKind.VISIT_BOOKED, visit, after, now)
    return [] if _knows(visit, after) else _of_place(_kind_of_move(visit), visit, after, now)


def on_the_way(*, visit: Visit, now: datetime) -> None:
    """Tell that the crew is coming, once a day however many of the crew say so."""
    day = now.astimezone(ZoneInfo(visit.job.site.time_zone)).date()
    due = Due(kind=MessageKind.ON_THE_WAY, due_at=now)
    about = f"visit:{visit.pk}:{day}"
    queueing.enqueue(_written([due], about=about, job=visit.job, visit=visit, now=now))


def not_on_the_way(*, visit: Visit, cause: str) -> None:
    """Drop the word that the crew is coming where it has not left, so that it may be said anew."""
    queueing.supersede(visit, only=MessageKind.ON_THE_WAY, cause=cause)


def signed_off(*, job: Job, now: datetime) -> None:
    """Thank, and tell what is left to licensed trades."""
    due = Due(kind=MessageKind.SIGNED_OFF, due_at=now)
    queueing.enqueue(_written([due], about=f"job:{job.pk}", job=job, now=now))


def _of_withdrawal(visit: Visit, placement: Placement, now: datetime) -> list[OutboxMessage]:
    if placement.starts_at <= now or not may_expect_us(visit):
        return []
    return _written(
        [Due(kind=MessageKind.VISIT_CANCELLED, due_at=now)],
        about=f"visit:{visit.pk}:s{visit.sequence}",
        job=visit.job,
        visit=visit,
        begins_at=_begins_at(placement, visit.job),
        now=now,
    )


def _of_place(
    kind: MessageKind, visit: Visit, placement: Placement | PlannedVisit, now: datetime
) -> list[OutboxMessage]:
    zone = visit.job.site.time_zone
    return _written(
        told_of_a_visit(kind, starts_at=placement.starts_at, time_zone=zone, now=now),
        about=f"visit:{visit.pk}:s{visit.sequence}",
        job=visit.job,
        visit=visit,
        begins_at=_begins_at(placement, visit.job),
        now=now,
    )


def _written(
    dues: Iterable[Due],
    *,
    about: str,
    job: Job,
    visit: Visit | None = None,
    begins_at: datetime | None = None,
    now: datetime,
) -> list[OutboxMessage]:
    """One message for each that is due and each way that the customer takes."""

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
    return [message(due, channel) for due in dues for channel in ways]


def _begins_at(placement: Placement | PlannedVisit, job: Job) -> datetime:
    """The beginning of the arrival window, which is what a customer knows of a place."""
    window = arrival_window(placement.starts_at, job.site.time_zone)
    return window.starts_at.astimezone(UTC)


def _knows(visit: Visit, placement: Placement | PlannedVisit) -> bool:
    """Whether the arrival window is the one that the customer was told, or is about to be."""
    told = [each for each in visit.messages.all() if each.status != OutboxStatus.SUPERSEDED]
    return _expected_at(told) == _begins_at(placement, visit.job)


def _kind_of_move(visit: Visit) -> MessageKind:
    return MessageKind.VISIT_MOVED if may_expect_us(visit) else MessageKind.VISIT_BOOKED


def may_expect_us(visit: Visit) -> bool:
    """Whether the last news that was tried, and so may have arrived, was that we come."""
    return _expected_at(each for each in visit.messages.all() if each.attempts > 0) is not None


def _expected_at(told: Iterable[OutboxMessage]) -> datetime | None:
    """The hour of which the newest of these news speaks, if it is that we come."""
    news = (each for each in told if each.kind in NEWS)
    newest = max(news, key=lambda each: (each.sequence, each.created_at), default=None)
    if newest is None or newest.kind == MessageKind.VISIT_CANCELLED:
        return None
    return datetime.fromisoformat(newest.payload["begins_at"])
