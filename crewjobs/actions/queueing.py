"""Puts into the outbox what must happen later, in the transaction of its cause."""

from collections.abc import Iterable

from django.db.models import Value
from django.db.models.functions import Concat

from crewjobs.models import OutboxMessage, OutboxStatus, Visit


def enqueue(messages: Iterable[OutboxMessage]) -> None:
    """Write messages in the transaction of their cause; one whose key is there is left out."""
    OutboxMessage.objects.bulk_create(messages, ignore_conflicts=True)


def supersede(visit: Visit, *, only: str = "", cause: str = "") -> None:
    """Let nothing more be sent of what still waits for a visit, and stop a worker that holds it.

    With a cause, what is superseded gives its key free: the same may be said again.
    """
    waiting = visit.messages.waiting()
    found = waiting.filter(kind=only) if only else waiting
    freed = {"dedupe_key": Concat("dedupe_key", Value(f":{cause}"))} if cause else {}
    found.update(
        status=OutboxStatus.SUPERSEDED, next_at=None, lease_token=None, last_error="said anew",
        **freed,
    )  # fmt: skip
