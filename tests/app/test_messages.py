"""What customers are told, by which channel, and what is left unsaid."""

import datetime as dt

import pytest
from django.core import mail

from crewjobs import models
from crewjobs.actions import messages, outbox
from crewjobs.domain.reminding import MessageKind
from crewjobs.models import Channel, OutboxMessage
from crewjobs.snapshots.letters import Letter, NoLonger, NotYet, letter
from tests import rows
from tests.rows import NOW, at

pytestmark = pytest.mark.django_db

TEXTS = {"takes_texts": True, "texts_agreed_at": NOW, "phone": "+1 555 0100"}


@pytest.fixture(autouse=True)
def shop():
    return rows.shop(reply_to="office@alderbay.example.test")


def published(starts_at: dt.datetime | None = None, **customer) -> models.Placement:
    """A placement of an install visit on 10 June 2026, 9:20 there, that the customer is told of."""
    visit = rows.visit(rows.job(site=rows.site(rows.customer(**customer))))
    starts_at = starts_at or at(10, 14 + 1 / 3)
    placement = rows.placement(
        visit, starts_at=starts_at, ends_at=starts_at + dt.timedelta(hours=4)
    )
    messages.visit_published(visit=visit, placement=placement, now=NOW)
    return placement


def moved(placement: models.Placement, hours: float, now: dt.datetime = NOW) -> models.Visit:
    """The same visit, that much later."""
    placement.starts_at += dt.timedelta(hours=hours)
    placement.ends_at += dt.timedelta(hours=hours)
    placement.save()
    visit = models.Visit.objects.get(pk=placement.visit_id)
    visit.sequence += 1
    visit.save()
    messages.visit_moved(visit=visit, placement=placement, now=now)
    return visit


def withdrawn(placement: models.Placement, now: dt.datetime = NOW) -> None:
    visit = models.Visit.objects.get(pk=placement.visit_id)
    visit.sequence += 1
    visit.save()
    placement.withdrawn_at = now
    placement.save()
    messages.visit_withdrawn(visit=visit, placement=placement, now=now)


def work(now: dt.datetime = NOW) -> int:
    return outbox.work(now=lambda: now, limit=100)


def told() -> list[tuple[str, str]]:
    """Kind and status of what stands in the outbox, oldest and most urgent first."""
    ordered = OutboxMessage.objects.order_by("sequence", "due_at", "kind", "channel")
    return [(message.kind, message.status) for message in ordered]


def words(kind: MessageKind, channel: Channel = Channel.EMAIL, now: dt.datetime = NOW) -> Letter:
    found = letter(OutboxMessage.objects.get(kind=kind, channel=channel).pk, now=now)
    assert isinstance(found, Letter), found
    return found


def test_a_published_visit_is_told_at_once_and_two_days_before() -> None:
    published()
    due = {message.kind: message.due_at for message in OutboxMessage.objects.all()}
    assert due == {"visit-booked": NOW, "two-days-before": at(8, 15)}


@pytest.mark.parametrize(
    ("customer", "channels"),
    [
        ({}, {"email"}),
        (TEXTS, {"email", "text"}),
        (TEXTS | {"takes_email": False}, {"text"}),
        (TEXTS | {"email": "", "phone": ""}, set()),
        ({"takes_email": False, "phone": "+1 555 0100"}, set()),
    ],
)
def test_only_the_channels_that_the_customer_agreed_to_are_used(customer, channels) -> None:
    published(**customer)
    assert set(OutboxMessage.objects.values_list("channel", flat=True)) == channels


def test_telling_the_same_twice_writes_it_once() -> None:
    placement = published()
    messages.visit_published(visit=placement.visit, placement=placement, now=NOW)
    assert OutboxMessage.objects.count() == 2


def test_the_mail_says_when_who_and_what_to_prepare() -> None:
    published()
    assert work() == 1
    (sent,) = mail.outbox
    assert sent.to == ["mara@example.test"]
    assert sent.reply_to == ["office@alderbay.example.test"]
    assert sent.subject == "Alder Bay Stone: your installation on Wednesday 10 June"
    assert "Hello Mara Linden," in sent.body
    assert "booked your installation at 12 Harbor Lane:" in sent.body
    assert "Wednesday 10 June 2026\n" in sent.body
    assert "between 9:00 AM and 10:00 AM.\n  2 people come." in sent.body
    assert "disconnected by a licensed trade" in sent.body
    assert "way from the street to the kitchen clear" in sent.body
    assert "write to office@alderbay.example.test" in sent.body
    assert sent.body.endswith("Alder Bay Stone\nJob 1001\n")


def waiting_letters() -> dict[tuple[str, str], Letter]:
    """What waits, in words; then it is sent."""
    waiting = list(OutboxMessage.objects.waiting())
    found = {(m.kind, m.channel): letter(m.pk, now=NOW) for m in waiting}
    work()
    return {key: words for key, words in found.items() if isinstance(words, Letter)}


def every_letter() -> dict[tuple[str, str], Letter]:
    """One visit told of in all the ways there are, by mail and by text."""
    placement = published(name="O'Neil & Söhne <x>", **TEXTS)
    visit = placement.visit
    messages.on_the_way(visit=visit, now=NOW)
    written = waiting_letters()
    moved(placement, 48)
    written |= waiting_letters()
    withdrawn(placement)
    models.Job.objects.update(stage="signed off")
    models.TradeWork.objects.create(
        created_at=NOW, job=visit.job, trade="water", what="tap", earliest_at=at(4, 15)
    )
    messages.signed_off(job=visit.job, now=NOW)
    return written | waiting_letters()


def test_no_message_shows_markup_or_loose_ends() -> None:
    written = every_letter()
    ways = set(Channel) - {Channel.ERRAND}
    assert set(written) == {(kind, way) for kind in MessageKind for way in ways}
    for one in written.values():
        shown = one.subject + one.body
        assert not any(mark in shown for mark in ("{", "&#", "&amp;", "..", " ,", "\n\n\n", "None"))
        if one.subject:
            assert all(len(line) <= 110 for line in one.body.split("\n"))
        else:
            assert "\n" not in one.body
            assert len(one.body) <= 306, "two texts of 153 characters"


def test_a_text_is_one_short_line_with_the_same_facts() -> None:
    published(**TEXTS)
    body = words(MessageKind.VISIT_BOOKED, Channel.TEXT).body
    assert body.startswith("Alder Bay Stone: your installation at 12 Harbor Lane is booked for")
    assert "Wed 10 Jun, crew of 2 arrives 9:00 AM to 10:00 AM." in body


def test_a_measuring_visit_asks_for_other_things() -> None:
    visit = rows.visit(kind="template", hands=1)
    messages.visit_published(visit=visit, placement=rows.placement(visit), now=NOW)
    body = words(MessageKind.VISIT_BOOKED).body
    assert "booked your measuring visit" in body
    assert "One person comes." in body
    assert "licensed trade" not in body


def test_a_moved_visit_is_told_anew_and_the_old_reminder_never_leaves() -> None:
    placement = published()
    work()
    moved(placement, 24)
    assert told() == [
        ("visit-booked", "sent"),
        ("two-days-before", "superseded"),
        ("visit-moved", "waiting"),
        ("two-days-before", "waiting"),
    ]
    work()
    assert mail.outbox[1].subject == (
        "Alder Bay Stone: new time for your installation, Thursday 11 June"
    )
    assert [work(at(8, 15)), work(at(9, 15))] == [0, 1]
    assert mail.outbox[2].subject == "Alder Bay Stone: we come on Thursday 11 June"


def test_a_move_before_the_first_news_left_is_a_booking() -> None:
    moved(published(), 24)
    work()
    assert [sent.subject for sent in mail.outbox] == [
        "Alder Bay Stone: your installation on Thursday 11 June"
    ]


def test_a_move_inside_the_arrival_window_is_not_told() -> None:
    placement = published()
    work()
    moved(placement, -0.25)
    assert told() == [("visit-booked", "sent"), ("two-days-before", "waiting")]
    assert work(at(8, 15)) == 1
    assert len(mail.outbox) == 2


def test_a_move_there_and_back_leaves_a_reminder() -> None:
    placement = published()
    work()
    moved(placement, 24)
    moved(placement, -24)
    work(at(8, 15))
    assert [sent.subject.split(": ")[1][:12] for sent in mail.outbox] == [
        "your install", "new time for", "we come on W",
    ]  # fmt: skip


def test_a_withdrawn_visit_is_called_off() -> None:
    placement = published()
    work()
    withdrawn(placement)
    work()
    assert mail.outbox[1].subject == (
        "Alder Bay Stone: your installation on Wednesday 10 June is off"
    )
    assert "The crew will not come" in mail.outbox[1].body
    assert work(at(8, 15)) == 0


def test_nobody_is_told_that_a_visit_they_never_heard_of_is_off() -> None:
    withdrawn(published())
    assert work() == 0
    assert {status for _, status in told()} == {"superseded"}


def test_a_visit_placed_again_is_not_called_off_any_more() -> None:
    placement = published()
    work()
    withdrawn(placement)
    placement.withdrawn_at = None
    placement.save()
    assert work() == 1
    assert len(mail.outbox) == 1
    assert OutboxMessage.objects.get(kind="visit-cancelled").last_error == (
        "the visit has a place again"
    )


def change_visit(placement: models.Placement, **fields) -> None:
    models.Visit.objects.filter(pk=placement.visit_id).update(**fields)


@pytest.mark.parametrize(
    ("happens", "reason"),
    [
        (lambda p: change_visit(p, cancelled_at=NOW), "the visit is cancelled"),
        (lambda p: change_visit(p, started_at=NOW), "the crew has come already"),
        (
            lambda _: models.Placement.objects.update(withdrawn_at=NOW),
            "the visit has no place",
        ),
        (
            lambda _: models.Placement.objects.update(ends_at=at(12, 16), starts_at=at(12, 15)),
            "the visit was moved",
        ),
        (
            lambda _: models.Job.objects.update(cancelled_at=NOW, cancel_reason="sold"),
            "the visit is cancelled",
        ),
        (
            lambda _: models.Customer.objects.update(takes_email=False),
            "the customer does not take it",
        ),
    ],
)
def test_what_is_no_longer_true_is_not_sent(happens, reason) -> None:
    happens(published())
    work()
    assert mail.outbox == []
    message = OutboxMessage.objects.get(kind="visit-booked")
    assert (message.status, message.last_error, message.attempts) == ("superseded", reason, 0)


def test_news_of_a_visit_that_has_begun_is_no_news() -> None:
    placement = published()
    assert work(placement.starts_at) == 2
    assert mail.outbox == []


def test_a_text_of_the_evening_waits_for_the_morning_and_the_mail_does_not() -> None:
    visit = rows.visit(rows.job(site=rows.site(rows.customer(**TEXTS))))
    placement = rows.placement(visit, starts_at=at(10, 14), ends_at=at(10, 18))
    evening = at(2, 2)
    messages.visit_published(visit=visit, placement=placement, now=evening)
    due = {m.channel: m.due_at for m in OutboxMessage.objects.filter(kind="visit-booked")}
    assert due == {"email": evening, "text": at(2, 13)}


def test_a_text_held_up_into_the_night_waits_for_the_morning() -> None:
    published(takes_email=False, **TEXTS)
    night = at(2, 4)
    booked = OutboxMessage.objects.get(kind="visit-booked")
    assert letter(booked.pk, now=night) == NotYet(until=at(2, 13))
    work(night)
    booked.refresh_from_db()
    assert (booked.next_at, booked.attempts, booked.status) == (at(2, 13), 0, "waiting")


def test_on_the_way_is_said_once_a_day_and_not_when_it_is_old() -> None:
    placement = published()
    work()
    start = placement.starts_at - dt.timedelta(minutes=30)
    for _ in range(2):
        messages.on_the_way(visit=placement.visit, now=start)
    message = OutboxMessage.objects.get(kind="on-the-way")
    assert "on its way to 12 Harbor Lane" in words(MessageKind.ON_THE_WAY, now=start).body
    late = start + dt.timedelta(minutes=61)
    assert letter(message.pk, now=late) == NoLonger(reason="the crew must have come by now")
    change_visit(placement, started_at=start)
    assert isinstance(letter(message.pk, now=start), NoLonger)


def test_a_signed_off_job_names_what_is_left_to_licensed_trades() -> None:
    job = rows.job(stage="signed off")
    models.TradeWork.objects.create(
        created_at=NOW, job=job, trade="water", what="tap", earliest_at=at(4, 15)
    )
    models.TradeWork.objects.create(created_at=NOW, job=job, trade="gas", what="hob", done_at=NOW)
    messages.signed_off(job=job, now=NOW)
    body = words(MessageKind.SIGNED_OFF).body
    assert "- water, not before Thursday 4 June, 10:00 AM:" in body
    assert "gas" not in body
    models.Job.objects.update(stage="installed")
    assert work() == 1
    assert mail.outbox == []


def test_a_line_break_in_a_name_makes_no_header() -> None:
    models.Shop.objects.update(name="Alder Bay\r\nBcc: all@example.test")
    published()
    work()
    (sent,) = mail.outbox
    assert "\nBcc:" not in sent.message().as_string().split("\n\n")[0]
    assert sent.recipients() == ["mara@example.test"]


def test_an_unknown_language_is_answered_in_english() -> None:
    published(language="../../xx")
    assert "Hello" in words(MessageKind.VISIT_BOOKED).body


@pytest.mark.parametrize("kind", list(MessageKind))
@pytest.mark.parametrize("part", ["subject", "email", "text"])
def test_every_message_has_its_words(kind, part, settings) -> None:
    folder = settings.BASE_DIR / "crewjobs" / "templates" / "messages" / "en"
    assert (folder / f"{kind}.{part}.txt").read_text(encoding="utf-8").strip()


def test_a_customer_is_written_to_in_few_queries(django_assert_max_num_queries) -> None:
    published()
    message = OutboxMessage.objects.get(kind="visit-booked")
    with django_assert_max_num_queries(4):
        letter(message.pk, now=NOW)
