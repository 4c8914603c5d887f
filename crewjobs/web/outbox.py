"""The messages to customers: what waits, what was sent, what is dead and why.

The shop's own errands are no messages; one that is dead is shown, since somebody must look.
"""

from uuid import UUID

from django.http import HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import outbox
from crewjobs.models import Channel, OutboxMessage, OutboxStatus
from crewjobs.web.pages import Asked, page, refusals

MOST = 100


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    return _list(asked)


@require_POST
@page
def retry(asked: Asked, message_id: UUID) -> HttpResponseBase:
    found = refusals(lambda: outbox.retry(message_id=message_id, by=asked.by, now=asked.now))
    if found:
        return _list(asked, found=found, status=409)
    asked.say("The message is tried again.")
    return redirect("messages")


@require_POST
@page
def give_up(asked: Asked, message_id: UUID) -> HttpResponseBase:
    found = refusals(lambda: outbox.give_up(message_id=message_id, by=asked.by, now=asked.now))
    if found:
        return _list(asked, found=found, status=409)
    asked.say("The message will not be sent.")
    return redirect("messages")


def _list(asked: Asked, *, status: int = 200, **context: object) -> HttpResponseBase:
    asked.require("outbox.read")
    rows = OutboxMessage.objects.select_related("job__customer")
    dead = rows.filter(status=OutboxStatus.DEAD)
    messages = rows.exclude(channel=Channel.ERRAND)
    waiting = messages.waiting().order_by("next_at", "pk")
    past = messages.filter(status__in=[OutboxStatus.SENT, OutboxStatus.SUPERSEDED])
    lists = {"dead": dead[:MOST], "waiting": waiting[:MOST], "past": past[:MOST]}
    return asked.page("messages.html", {**lists, **context}, status=status)
