"""The worker's loop goes on whatever happens in a turn, and mistrusts a clock that was set."""

import signal
import time
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.core import mail
from django.core.management import call_command

from crewjobs import models
from crewjobs.actions import messages
from crewjobs.management.commands.work import Worker
from crewjobs.models import OutboxMessage
from tests import rows
from tests.rows import NOW

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


@pytest.fixture
def signals() -> Iterator[None]:
    kept = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGINT)}
    yield
    for number, handler in kept.items():
        signal.signal(number, handler)


def signed_off(number: str = "1001") -> None:
    messages.signed_off(job=rows.job(number, stage="signed off"), now=NOW)


def test_a_message_without_words_does_not_hold_up_the_others(caplog) -> None:
    signed_off("1001")
    OutboxMessage.objects.update(kind="of a later version", due_at=NOW - timedelta(days=1))
    OutboxMessage.objects.update(next_at=NOW - timedelta(days=1))
    signed_off("1002")
    worker = Worker(100, [])
    assert [worker.turn(), len(mail.outbox)] == [0, 0]
    assert "of a later version" in caplog.text
    assert [worker.turn(), len(mail.outbox)] == [1, 1]
    stuck = OutboxMessage.objects.get(kind="of a later version")
    assert (stuck.status, stuck.attempts) == ("waiting", 1), "tried again, and counted"


def test_a_worker_says_that_it_lives() -> None:
    Worker(100, []).turn()
    assert models.Heartbeat.objects.get().worker.startswith("work on ")


def test_a_worker_that_was_stopped_sends_nothing() -> None:
    signed_off()
    assert Worker(100, [signal.SIGTERM]).turn() == 0
    assert mail.outbox == []


def test_a_turn_after_the_clock_was_set_is_left_out(caplog) -> None:
    signed_off()
    worker = Worker(100, [])
    worker.clocks.wall -= timedelta(hours=2)
    assert [worker.turn(), worker.turn()] == [0, 1]
    assert "clock was set" in caplog.text


@pytest.mark.usefixtures("signals")
def test_once_ends_when_nothing_is_due() -> None:
    for number in range(5):
        signed_off(str(number))
    started_s = time.monotonic()
    call_command("work", once=True, limit=2)
    assert len(mail.outbox) == 5
    assert time.monotonic() - started_s < 5
