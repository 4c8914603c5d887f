"""The outbox: what waits, what was sent, what could not be, and trying that again."""

from uuid import UUID

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs.actions import outbox
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.models import Channel, OutboxMessage, OutboxStatus


class MessageOut(serializers.ModelSerializer[OutboxMessage]):
    class Meta:
        model = OutboxMessage
        fields = [
            "id", "kind", "channel", "visit", "job", "status", "due_at", "next_at", "attempts",
            "sent_at", "last_error", "created_at",
        ]  # fmt: skip


class MessageFilter(django_filters.FilterSet):
    status = django_filters.MultipleChoiceFilter(choices=[(str(s), str(s)) for s in OutboxStatus])
    channel = django_filters.ChoiceFilter(choices=[(str(c), str(c)) for c in Channel])
    kind = django_filters.CharFilter()
    job = django_filters.UUIDFilter()


class Messages(Endpoint):
    filterset_class = MessageFilter

    @does("outbox.read", answers=MessageOut, many=True, paged=True)
    def get(self, _ask: Ask) -> QuerySet[OutboxMessage]:
        """The messages, newest first."""
        return OutboxMessage.objects.all()


class MessageRetry(Endpoint):
    @does("outbox.change", answers=MessageOut)
    def post(self, ask: Ask, message_id: UUID) -> OutboxMessage:
        """Try a dead message anew."""
        return outbox.retry(message_id=message_id, by=ask.by, now=ask.now)


class MessageGiveUp(Endpoint):
    @does("outbox.change", answers=MessageOut)
    def post(self, ask: Ask, message_id: UUID) -> OutboxMessage:
        """Do not send a message that waits."""
        return outbox.give_up(message_id=message_id, by=ask.by, now=ask.now)
