"""Puts into the outbox what must happen later, in the transaction of its cause."""

from collections.abc import Iterable

from crewjobs.models import OutboxMessage, OutboxStatus, Visit


def enqueue(messages: Iterable[OutboxMessage]) -> None:
    """Write messages in the transaction of their cause; one whose key is there is left out."""
    OutboxMessage.objects.bulk_create(messages, ignore_conflicts=True)


def supersede(visit: Visit) -> None:
    """Let nothing more be sent of what still waits for a visit, and stop a worker that holds it."""
    visit.messages.waiting().update(
        status=OutboxStatus.SUPERSEDED, next_at=None, lease_token=None, last_error="said anew"
    )
