"""A message is written once, leased by one, fenced, tried again and at last given up."""

import datetime as dt
from uuid import UUID, uuid4

import pytest
from django.core import mail
from django.db import IntegrityError, transaction

from crewjobs import models
from crewjobs.actions import errands, outbox, queueing
from crewjobs.actions.errors import ConflictError, NotAllowedError
from crewjobs.domain.reminding import MessageKind
from crewjobs.models import Channel, OutboxMessage
from tests import rows
from tests.rows import NOW

pytestmark = pytest.mark.django_db

DOWN = "tests.app.mailboxes.Down"
TAKEN = "tests.app.mailboxes.Taken"


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


def draft(key: str = "one", due_at: dt.datetime = NOW, **fields) -> OutboxMessage:
    """A message that a signed-off job causes, not yet written."""
    job = models.Job.objects.filter(number="1001").first() or rows.job(stage="signed off")
    return OutboxMessage(
        **(
            {"created_at": NOW, "kind": MessageKind.SIGNED_OFF, "channel": Channel.EMAIL}
            | {"dedupe_key": key, "job": job, "due_at": due_at, "next_at": due_at}
            | fields
        )
    )


def written(key: str = "one", **fields) -> OutboxMessage:
    queueing.enqueue([draft(key, **fields)])
    return OutboxMessage.objects.get(dedupe_key=key)


def later(seconds: float) -> dt.datetime:
    return NOW + dt.timedelta(seconds=seconds)


def work(seconds: float = 0, limit: int = 100) -> int:
    return outbox.work(now=lambda: later(seconds), limit=limit)


def test_the_same_cause_twice_is_one_message() -> None:
    first = written()
    queueing.enqueue([draft(), draft("two"), draft("two")])
    assert OutboxMessage.objects.count() == 2
    assert OutboxMessage.objects.get(dedupe_key="one").pk == first.pk
    assert work() == 2
    queueing.enqueue([draft()])
    assert work() == 0


def half_a_change() -> None:
    with transaction.atomic():
        written()
        models.Shop.objects.create(created_at=NOW, name="a second shop")


def test_a_message_goes_with_its_cause() -> None:
    with pytest.raises(IntegrityError):
        half_a_change()
    assert OutboxMessage.objects.count() == 0


def test_what_is_not_due_stays() -> None:
    written(due_at=later(1))
    assert (work(0), work(1)) == (0, 1)


def test_a_sent_message_says_when_and_under_which_id() -> None:
    message = written()
    work(3)
    message.refresh_from_db()
    assert (message.status, message.next_at, message.lease_token) == ("sent", None, None)
    assert (message.sent_at, message.attempts) == (later(3), 1)
    assert message.provider_ref == f"<{message.pk}@localhost>"
    assert mail.outbox[0].extra_headers["Message-ID"] == message.provider_ref
    assert [(attempt.ok, attempt.detail) for attempt in message.log.all()] == [
        (True, message.provider_ref)
    ]


def test_the_longest_due_goes_first_and_no_more_than_the_limit() -> None:
    for number in (3, 1, 2):
        written(str(number), due_at=NOW - dt.timedelta(minutes=number))
    assert [work(limit=2), work(limit=2), work(limit=2)] == [2, 1, 0]
    sent = OutboxMessage.objects.order_by("sent_at")
    assert {message.dedupe_key for message in sent} == {"1", "2", "3"}
    keys = {str(m.pk): m.dedupe_key for m in sent}
    order = [keys[one.extra_headers["Message-ID"][1:37]] for one in mail.outbox]
    assert order == ["3", "2", "1"]


def test_a_worker_that_is_told_to_stop_begins_no_other_message() -> None:
    for number in range(3):
        written(str(number))
    assert outbox.work(now=lambda: NOW, limit=9, stop=lambda: len(mail.outbox) == 2) == 2
    assert OutboxMessage.objects.filter(next_at=NOW, lease_token=None).count() == 1


def test_a_leased_message_is_nobody_elses_until_the_lease_ends() -> None:
    written()
    assert len(outbox.claim(now=NOW, limit=5)) == 1
    assert outbox.claim(now=later(59), limit=5) == []
    assert len(outbox.claim(now=later(60), limit=5)) == 1


def test_a_worker_that_lost_its_lease_sends_nothing() -> None:
    written()
    (stale,) = outbox.claim(now=NOW, limit=1)
    (fresh,) = outbox.claim(now=later(60), limit=1)
    outbox.deliver(stale, now=lambda: later(61))
    assert mail.outbox == []
    outbox.deliver(fresh, now=lambda: later(62))
    assert len(mail.outbox) == 1


def test_a_worker_that_lost_its_lease_while_sending_marks_nothing(settings) -> None:
    message = written()
    settings.EMAIL_BACKEND = TAKEN
    (mine,) = outbox.claim(now=NOW, limit=1)
    outbox.deliver(mine, now=lambda: NOW)
    message.refresh_from_db()
    assert (message.status, message.sent_at) == ("waiting", None)
    assert message.lease_token == UUID(int=7), "the other worker's"
    assert [attempt.ok for attempt in message.log.all()] == [True], "and yet it is on record"


def test_a_message_superseded_after_the_claim_is_not_sent() -> None:
    visit = rows.visit()
    message = written(visit=visit, kind=MessageKind.VISIT_BOOKED)
    (claimed,) = outbox.claim(now=NOW, limit=1)
    queueing.supersede(visit)
    outbox.deliver(claimed, now=lambda: NOW)
    message.refresh_from_db()
    assert (message.status, mail.outbox, message.attempts) == ("superseded", [], 0)


def test_failures_come_ever_later_and_the_eighth_is_the_last(settings) -> None:
    settings.EMAIL_BACKEND = DOWN
    message = written()
    at, pauses = NOW, []
    while message.next_at:
        at = message.next_at
        outbox.work(now=lambda: at, limit=1)  # noqa: B023 - called at once
        message.refresh_from_db()
        if message.next_at:
            pauses.append((message.next_at - at).total_seconds())
    least = [5, 20, 80, 320, 1280, 3600, 3600]
    assert len(pauses) == 7
    assert all(a <= pause <= a * 1.1 for a, pause in zip(least, pauses, strict=True))
    assert pauses == pytest.approx([outbox.pause_s(message.pk, n) for n in range(1, 8)])
    assert (message.status, message.attempts, message.log.count()) == ("dead", 8, 8)
    assert "mail server" in message.last_error
    assert at - NOW > dt.timedelta(hours=2), "longer than an outage of an hour"


def test_what_failed_together_is_tried_apart() -> None:
    assert len({outbox.pause_s(uuid4(), 3) for _ in range(50)}) > 40


def test_a_message_that_kills_its_worker_does_not_do_so_for_ever() -> None:
    message = written(attempts=outbox.ATTEMPTS)
    assert work() == 1
    message.refresh_from_db()
    assert (message.status, message.last_error) == ("dead", "8 tries ended without an answer")
    assert mail.outbox == []


def test_a_failure_that_stays_is_not_tried_again() -> None:
    models.Customer.objects.update(email="a@example.test\r\nBcc: b@example.test")
    message = written()
    models.Customer.objects.update(email="a@example.test\r\nBcc: b@example.test")
    work()
    message.refresh_from_db()
    assert (message.status, message.attempts, mail.outbox) == ("dead", 1, [])
    assert "not a mail" in message.last_error


def test_a_text_without_a_gateway_is_dead_and_says_why(settings) -> None:
    settings.TEXT_GATEWAY_URL = ""
    message = written(channel=Channel.TEXT)
    models.Customer.objects.update(takes_texts=True, texts_agreed_at=NOW, phone="+1 555 0100")
    work()
    message.refresh_from_db()
    assert message.status == "dead"
    assert message.last_error == "no text gateway is configured (TEXT_GATEWAY_URL)"


def test_the_office_tries_a_dead_message_anew(settings) -> None:
    settings.EMAIL_BACKEND = "tests.app.mailboxes.Refusing"
    message = written()
    work()
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    outbox.retry(message_id=message.pk, by=rows.dispatcher(), now=later(9))
    assert work(9) == 1
    message.refresh_from_db()
    assert (message.status, message.attempts) == ("sent", 1)
    entry = models.AuditEntry.objects.get(verb="outbox.retry")
    assert (entry.thing_id, entry.detail) == (message.pk, {"key": "one"})


def test_the_office_gives_up_a_message_that_waits() -> None:
    message = written(due_at=later(60))
    outbox.give_up(message_id=message.pk, by=rows.dispatcher(), now=NOW)
    assert work(60) == 0
    message.refresh_from_db()
    assert (message.status, message.last_error) == ("dead", "given up by the office")


@pytest.mark.parametrize("change", [outbox.retry, outbox.give_up])
def test_what_was_sent_is_neither_tried_anew_nor_given_up(change) -> None:
    message = written()
    work()
    with pytest.raises(ConflictError, match="the message is sent"):
        change(message_id=message.pk, by=rows.dispatcher(), now=NOW)


@pytest.mark.parametrize("change", [outbox.retry, outbox.give_up])
def test_only_the_office_changes_the_outbox(change) -> None:
    message = written()
    with pytest.raises(NotAllowedError):
        change(message_id=message.pk, by=rows.lead(), now=NOW)


def test_a_worker_is_seen_again_and_again_in_one_row() -> None:
    for seconds in (0, 10):
        outbox.beat(worker="work on here", now=later(seconds))
    assert list(models.Heartbeat.objects.values_list("worker", "seen_at")) == [
        ("work on here", later(10))
    ]


def test_an_empty_look_costs_three_queries_at_most(django_assert_max_num_queries) -> None:
    with django_assert_max_num_queries(3):
        work()


def test_what_an_errand_computes_is_handed_to_what_it_does(monkeypatch):
    done = []

    def act(*, found: int, now: dt.datetime) -> str:
        done.append((found, now))
        return "added up"

    errand = errands.Errand(act=act, compute=lambda payload: sum(payload["numbers"]))
    monkeypatch.setattr(errands, "DO", {"add": errand})
    message = OutboxMessage.objects.create(
        created_at=NOW, kind="add", channel=Channel.ERRAND, dedupe_key="add", due_at=NOW,
        next_at=NOW, payload={"numbers": [1, 2]},
    )  # fmt: skip
    assert outbox.work(now=lambda: NOW, limit=1) == 1
    message.refresh_from_db()
    assert (done, message.status, message.provider_ref) == ([(3, NOW)], "sent", "added up")
