"""What must happen later: written with its cause, leased, sent, tried again, given up.

A message is sent at least once. It is sent twice only where a worker dies between sending and
saying so, or sends for longer than its lease; then both carry the same id.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from uuid import UUID, uuid4
from zlib import crc32

from django.db import DatabaseError, connection, transaction
from django.db.models import F

from crewjobs import channels
from crewjobs.actions import errands, log
from crewjobs.actions.errors import ActionError, ConflictError
from crewjobs.models import (
    Channel,
    Heartbeat,
    OutboxAttempt,
    OutboxMessage,
    OutboxStatus,
    Person,
)
from crewjobs.snapshots.letters import Letter, NoLonger, NotYet, letter

LEASE = timedelta(seconds=60)
"""How long a message is one worker's own; longer than its two timeouts together."""
ATTEMPTS = 8
FIRST_PAUSE_S = 5.0
PAUSE_GROWTH = 4
LONGEST_PAUSE_S = 3600.0
"""5 s, 20 s, 80 s ... 1 h: eight tries reach over an outage of two hours and a half."""
JITTER_SHARE = 0.1
"""Spreads out what failed together."""
ERROR_LENGTH = 500


def work(*, now: Callable[[], datetime], limit: int, stop: Callable[[], bool] = bool) -> int:
    """Deliver what is due, one after the other, `limit` at most; the answer is how many.

    Before each message `stop` is asked.
    """
    done = 0
    while done < limit and not stop():
        claimed = claim(now=now(), limit=1)
        if not claimed:
            break
        deliver(claimed[0], now=now)
        done += 1
    return done


@transaction.atomic
def claim(*, now: datetime, limit: int) -> list[OutboxMessage]:
    """Lease what is due, the longest due first: for a while nobody else gets it."""
    can_skip = connection.features.has_select_for_update_skip_locked
    due = (
        OutboxMessage.objects.select_for_update(skip_locked=can_skip)
        .filter(next_at__lte=now)
        .order_by("next_at")[:limit]
    )
    claimed, token = list(due), uuid4()
    if claimed:
        OutboxMessage.objects.filter(pk__in=[message.pk for message in claimed]).update(
            next_at=now + LEASE, lease_token=token
        )
    for message in claimed:
        message.lease_token = token
    return claimed


def deliver(message: OutboxMessage, *, now: Callable[[], datetime]) -> None:
    """Send one claimed message and write down how it went. Nothing happens if the lease is lost."""
    if message.attempts >= ATTEMPTS:
        reason = f"{ATTEMPTS} tries ended without an answer"
        _settle(message, status=OutboxStatus.DEAD, next_at=None, last_error=reason)
        return
    if not _renew(message, now()):
        return
    if message.channel == Channel.ERRAND:
        _do_errand(message, now)
        return
    match letter(message.pk, now=now()):
        case NoLonger(reason=reason):
            _settle(
                message,
                status=OutboxStatus.SUPERSEDED,
                next_at=None,
                last_error=reason,
                attempts=message.attempts,
            )
        case NotYet(until=until):
            _settle(message, next_at=until, attempts=message.attempts)
        case Letter() as words:
            _try(message, words, now)


def _do_errand(message: OutboxMessage, now: Callable[[], datetime]) -> None:
    """Compute, then do what the shop itself does later and say so in the same transaction."""
    errand = errands.DO[message.kind]
    try:
        found = {"found": errand.compute(message.payload)} if errand.compute else {}
        with transaction.atomic():
            done = errand.act(now=now(), **found)
            _write_success(message, done, now())
    except (ActionError, DatabaseError, ValueError) as error:
        _write_failure(message, channels.ChannelError(str(error), is_permanent=False), now())


def retry(*, message_id: UUID, by: Person, now: datetime) -> OutboxMessage:
    """Try a dead message anew, with all its attempts.

    Raises
    ------
    ConflictError
        If it is not dead.
    """
    return _change(
        message_id,
        OutboxStatus.DEAD,
        by=by,
        now=now,
        verb="outbox.retry",
        to={"status": OutboxStatus.WAITING, "next_at": now, "attempts": 0},
    )


def give_up(*, message_id: UUID, by: Person, now: datetime) -> OutboxMessage:
    """Do not send a message that waits.

    Raises
    ------
    ConflictError
        If it does not wait.
    """
    return _change(
        message_id,
        OutboxStatus.WAITING,
        by=by,
        now=now,
        verb="outbox.give_up",
        to={"status": OutboxStatus.DEAD, "next_at": None, "last_error": "given up by the office"},
    )


def beat(*, worker: str, now: datetime) -> None:
    """Write down that a worker is alive."""
    Heartbeat.objects.update_or_create(worker=worker[:60], defaults={"seen_at": now})


def pause_s(message_id: UUID, attempt: int) -> float:
    """The seconds between a failed attempt, the first being 1, and the next one."""
    pause_s = min(LONGEST_PAUSE_S, FIRST_PAUSE_S * float(PAUSE_GROWTH ** (attempt - 1)))
    chance_share = crc32(f"{message_id} {attempt}".encode()) / 2**32
    return pause_s * (1 + JITTER_SHARE * chance_share)


def _renew(message: OutboxMessage, now: datetime) -> bool:
    """Whether the lease is still ours. It begins again, and the attempt counts from here."""
    return bool(
        OutboxMessage.objects.filter(pk=message.pk, lease_token=message.lease_token).update(
            next_at=now + LEASE, attempts=F("attempts") + 1
        )
    )


def _try(message: OutboxMessage, words: Letter, now: Callable[[], datetime]) -> None:
    """Send outside any transaction: a slow server holds up nobody else."""
    try:
        reference = _send(message, words, now())
    except channels.ChannelError as error:
        _write_failure(message, error, now())
    else:
        _write_success(message, reference, now())


def _send(message: OutboxMessage, words: Letter, now: datetime) -> str:
    if message.channel == Channel.TEXT:
        return channels.send_text(message_id=message.pk, to=words.to, body=words.body, now=now)
    return channels.send_email(
        message_id=message.pk,
        to=words.to,
        subject=words.subject,
        body=words.body,
        reply_to=words.reply_to,
    )


@transaction.atomic
def _write_success(message: OutboxMessage, reference: str, now: datetime) -> None:
    ours = _settle(
        message,
        status=OutboxStatus.SENT,
        next_at=None,
        sent_at=now,
        provider_ref=reference[:200],
        last_error="",
    )
    detail = reference if ours else f"{reference} after the lease had ended"
    OutboxAttempt.objects.create(created_at=now, message=message, ok=True, detail=detail)


@transaction.atomic
def _write_failure(message: OutboxMessage, error: channels.ChannelError, now: datetime) -> None:
    reason, attempt = str(error)[:ERROR_LENGTH], message.attempts + 1
    if error.is_permanent or attempt >= ATTEMPTS:
        _settle(message, status=OutboxStatus.DEAD, next_at=None, last_error=reason)
    else:
        again_at = now + timedelta(seconds=pause_s(message.pk, attempt))
        _settle(message, next_at=again_at, last_error=reason)
    OutboxAttempt.objects.create(created_at=now, message=message, ok=False, detail=reason)


def _settle(message: OutboxMessage, **changes: object) -> bool:
    """End the lease and write what became of the message; False if the lease was not ours."""
    ours = OutboxMessage.objects.filter(pk=message.pk, lease_token=message.lease_token)
    return bool(ours.update(lease_token=None, **changes))


@transaction.atomic
def _change(
    message_id: UUID,
    only: OutboxStatus,
    *,
    by: Person,
    now: datetime,
    verb: str,
    to: dict[str, object],
) -> OutboxMessage:
    log.require(by, "outbox.change")
    message = OutboxMessage.objects.select_for_update(of=("self",)).get(pk=message_id)
    if message.status != only:
        raise ConflictError(f"the message is {message.status}, not {only}")
    for name, value in to.items():
        setattr(message, name, value)
    message.lease_token = None
    message.save()
    log.write(verb, message, by=by, now=now, job=message.job, key=message.dedupe_key)
    return message
