"""What a message says, from the rows as they are now, and whether it is still true.

A message waits without words. They are found when it is sent, so that nobody is told what no
longer holds. Says no more of a customer than they need to read.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.template import Context, Engine

from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.reminding import (
    ON_THE_WAY_HOLDS,
    MessageKind,
    arrival_window,
    text_leaves_at,
)
from crewjobs.models import Channel, Customer, OutboxMessage, Shop

_ENGINE = Engine(app_dirs=True)


@dataclass(frozen=True, kw_only=True, slots=True)
class Letter:
    """A message in words, ready to leave."""

    to: str
    subject: str
    body: str
    reply_to: str


@dataclass(frozen=True, kw_only=True, slots=True)
class NotYet:
    """It is true, and waits for the morning."""

    until: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class NoLonger:
    """It is not to be sent any more."""

    reason: str


def letter(message_id: UUID, *, now: datetime) -> Letter | NotYet | NoLonger:
    """The message in words, or why it is not sent at this moment."""
    message = OutboxMessage.objects.select_related("visit", "job__customer", "job__site").get(
        pk=message_id
    )
    job = message.job
    if job is None:
        return NoLonger(reason="it is about no job")
    kind, begins_at = MessageKind(message.kind), _begins_at(message)
    if Channel(message.channel) not in channels(job.customer):
        return NoLonger(reason="the customer does not take it")
    if reason := _PREMISES[kind](message, now):
        return NoLonger(reason=reason)
    leaves_at = text_leaves_at(kind, now, time_zone=job.site.time_zone, begins_at=begins_at)
    if message.channel == Channel.TEXT and leaves_at > now:
        return NotYet(until=leaves_at)
    return _words(message, job.customer)


def channels(customer: Customer) -> list[Channel]:
    """The ways by which the customer agreed to be told and can be reached."""
    ways = {
        Channel.EMAIL: customer.takes_email and customer.email,
        Channel.TEXT: customer.takes_texts and customer.phone,
    }
    return [channel for channel, is_open in ways.items() if is_open]


def _begins_at(message: OutboxMessage) -> datetime | None:
    told = message.payload.get("begins_at")
    return datetime.fromisoformat(told) if told else None


def _coming(message: OutboxMessage, now: datetime) -> str:
    visit, job = message.visit, message.job
    if visit is None or job is None or job.cancelled_at or visit.cancelled_at:
        return "the visit is cancelled"
    if visit.started_at or visit.finished_at:
        return "the crew has come already"
    placement = visit.placement
    if placement is None:
        return "the visit has no place"
    if placement.starts_at <= now:
        return "the visit was to begin before now"
    window = arrival_window(placement.starts_at, job.site.time_zone)
    return "" if window.starts_at == _begins_at(message) else "the visit was moved"


def _cancelled(message: OutboxMessage, now: datetime) -> str:
    begins_at = _begins_at(message)
    if message.visit is None or message.visit.placement is not None:
        return "the visit has a place again"
    return "" if begins_at and begins_at > now else "the visit was to begin before now"


def _on_the_way(message: OutboxMessage, now: datetime) -> str:
    visit = message.visit
    if visit is None or visit.cancelled_at or visit.started_at or visit.finished_at:
        return "the crew has come already, or does not come"
    return "the crew must have come by now" if now - message.due_at > ON_THE_WAY_HOLDS else ""


def _signed_off(message: OutboxMessage, _now: datetime) -> str:
    is_so = message.job and message.job.stage == Stage.SIGNED_OFF and not message.job.cancelled_at
    return "" if is_so else "the job is not signed off"


_PREMISES: dict[MessageKind, Callable[[OutboxMessage, datetime], str]] = {
    MessageKind.VISIT_BOOKED: _coming,
    MessageKind.VISIT_MOVED: _coming,
    MessageKind.TWO_DAYS_BEFORE: _coming,
    MessageKind.VISIT_CANCELLED: _cancelled,
    MessageKind.ON_THE_WAY: _on_the_way,
    MessageKind.SIGNED_OFF: _signed_off,
}
"""What makes a message untrue, in words; nothing while it is true."""


def _words(message: OutboxMessage, customer: Customer) -> Letter:
    shop = Shop.objects.get()
    known = _known(message) | {"shop": shop.name, "reply_to": shop.reply_to}

    def written(name: str) -> str:
        names = [f"messages/{language}/{name}.txt" for language in (customer.language, "en")]
        return _ENGINE.select_template(names).render(Context(known, autoescape=False))

    known["what"] = _one_line(written("what"))
    if message.channel == Channel.TEXT:
        body = _one_line(written(f"{message.kind}.text"))
        return Letter(to=customer.phone, subject="", body=body, reply_to=shop.reply_to)
    return Letter(
        to=customer.email,
        subject=_one_line(written(f"{message.kind}.subject")),
        body=re.sub(r"\n{3,}", "\n\n", written(f"{message.kind}.email")).strip() + "\n",
        reply_to=shop.reply_to,
    )


def _known(message: OutboxMessage) -> dict[str, object]:
    """What the words are made of."""
    job, visit, begins_at = message.job, message.visit, _begins_at(message)
    if job is None:
        return {}
    known: dict[str, object] = {
        "customer": job.customer.name,
        "street": job.site.street,
        "job": job.number,
    }
    if visit:
        known |= {"visit": visit.kind, "hands": visit.hands}
    if visit is None or visit.kind == VisitKind.INSTALL:
        zone = ZoneInfo(job.site.time_zone)
        known["trades"] = trades = [
            {"trade": left.trade, "from": left.earliest_at and _there(left.earliest_at, zone)}
            for left in job.trade_work.filter(done_at__isnull=True)
        ]
        known["cures"] = [left for left in trades if left["from"]]
    if begins_at:
        window = arrival_window(begins_at, job.site.time_zone)
        known |= {
            "day": window.starts_at.date(),
            "opens": window.starts_at.time(),
            "closes": window.ends_at.time(),
        }
    return known


def _there(at: datetime, zone: ZoneInfo) -> dict[str, object]:
    local = at.astimezone(zone)
    return {"day": local.date(), "time": local.time()}


def _one_line(text: str) -> str:
    return " ".join(text.split())
