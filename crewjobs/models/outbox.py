"""Everything that must happen later. One column, `next_at`, drives it; NULL is at rest."""

from enum import StrEnum
from typing import Self

from django.db import models

from crewjobs.models.rows import Row, choice, one_of


class Channel(StrEnum):
    """How a message leaves."""

    EMAIL = "email"
    TEXT = "text"
    ERRAND = "errand"
    """It does not leave: something that the shop itself does later."""


class OutboxStatus(StrEnum):
    """What became of it."""

    WAITING = "waiting"
    SENT = "sent"
    DEAD = "dead"
    SUPERSEDED = "superseded"


class Messages(models.QuerySet["OutboxMessage"]):
    def waiting(self) -> Self:
        """Still to be sent, now or later."""
        return self.filter(next_at__isnull=False)


class OutboxMessage(Row):
    kind = models.CharField(max_length=40)
    channel = choice(Channel)
    dedupe_key = models.CharField(max_length=200, unique=True)
    """The same cause never makes two."""
    visit = models.ForeignKey(
        "Visit", on_delete=models.CASCADE, null=True, blank=True, related_name="messages"
    )
    job = models.ForeignKey(
        "Job", on_delete=models.CASCADE, null=True, blank=True, related_name="messages"
    )
    sequence = models.PositiveIntegerField(default=0)
    """The visit's sequence that this message speaks of: a later one makes it untrue."""
    payload = models.JSONField(default=dict)
    due_at = models.DateTimeField()
    next_at = models.DateTimeField(null=True, blank=True)
    status = choice(OutboxStatus, default=OutboxStatus.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    lease_token = models.UUIDField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    provider_ref = models.CharField(max_length=200, blank=True)
    last_error = models.TextField(blank=True)

    objects = Messages.as_manager()

    class Meta:
        ordering = ["-created_at", "id"]
        indexes = [
            models.Index(
                fields=["next_at"],
                condition=models.Q(next_at__isnull=False),
                name="outbox_due",
            ),
        ]
        constraints = [
            one_of("outbox", "channel", Channel),
            one_of("outbox", "status", OutboxStatus),
            models.CheckConstraint(
                condition=models.Q(status=OutboxStatus.WAITING, next_at__isnull=False)
                | (~models.Q(status=OutboxStatus.WAITING) & models.Q(next_at__isnull=True)),
                name="outbox_waits_with_a_time",
            ),
        ]

    def __str__(self) -> str:
        return self.dedupe_key


class OutboxAttempt(Row):
    message = models.ForeignKey("OutboxMessage", on_delete=models.CASCADE, related_name="log")
    ok = models.BooleanField()
    detail = models.TextField(blank=True)

    class Meta:
        ordering = ["created_at"]

    def __str__(self) -> str:
        return "sent" if self.ok else "failed"


class Heartbeat(models.Model):
    """When each worker was last seen."""

    worker = models.CharField(max_length=60, primary_key=True)
    seen_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.worker
