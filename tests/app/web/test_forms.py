"""Forms: they act, and they show everything that speaks against it."""

import datetime as dt
from uuid import uuid4

import pytest
from django.utils import timezone

from crewjobs.actions import plans
from crewjobs.domain.facts import Stage
from crewjobs.models import OpenItem, OutboxMessage, Plan, Role, StatusReport
from tests import rows
from tests.app.web.pages import Page, is_well_made, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return signed_in(rows.dispatcher())


@pytest.fixture
def job():
    rows.shop()
    return rows.job(stage=Stage.IN_FABRICATION)


def test_a_refused_stage_names_every_reason(office, job):
    page = Page(office.post(f"/jobs/{job.pk}/advance/", {"entering": "ready"}))
    assert page.status == 409
    is_well_made(page)
    alert = page.text.partition("This was not done.")[2].partition("Order")[0]
    assert "piece A" in alert
    assert "piece B" in alert
    job.refresh_from_db()
    assert job.stage == Stage.IN_FABRICATION


def test_a_job_comes_to_its_next_stage(office):
    job = rows.job(stage=Stage.TEMPLATED)
    answer = office.post(f"/jobs/{job.pk}/advance/", {"entering": "in fabrication"}, follow=True)
    assert "The job is in fabrication." in Page(answer).text
    job.refresh_from_db()
    assert job.stage == Stage.IN_FABRICATION


def test_an_invented_stage_changes_nothing(office, job):
    assert office.post(f"/jobs/{job.pk}/advance/", {"entering": "sold"}).status_code == 422


def test_a_job_is_held_and_released(office, job):
    form = {"reason": "payment due", "note": "second part"}
    held = Page(office.post(f"/jobs/{job.pk}/hold/", form, follow=True))
    assert "On hold: payment due" in held.text
    again = Page(office.post(f"/jobs/{job.pk}/hold/", form))
    assert again.status == 409
    assert "already held" in again.text
    office.post(f"/jobs/{job.pk}/release/", {"reason": "payment due"})
    assert not job.holds.filter(released_at=None).exists()


def test_a_job_is_cancelled_with_a_reason_alone(office, job):
    without = Page(office.post(f"/jobs/{job.pk}/cancel/", {"reason": " "}))
    assert without.status == 422
    is_well_made(without)
    office.post(f"/jobs/{job.pk}/cancel/", {"reason": "house sold"})
    job.refresh_from_db()
    assert job.cancel_reason == "house sold"


def test_an_open_item_is_noted_and_closed(office, job):
    office.post(f"/jobs/{job.pk}/items/", {"what": "polish the corner"})
    item = OpenItem.objects.get()
    office.post(f"/jobs/{job.pk}/items/{item.pk}/close/")
    item.refresh_from_db()
    assert item.closed_at is not None


def test_inspected_pieces_let_a_job_be_ready(office, job):
    first, second = job.pieces.all()
    failed = Page(office.post(f"/jobs/{job.pk}/pieces/{first.pk}/inspect/", {"passed": "no"}))
    assert failed.status == 409
    assert "say what is wrong" in failed.text
    for piece in (first, second):
        office.post(f"/jobs/{job.pk}/pieces/{piece.pk}/inspect/", {"passed": "yes"})
    office.post(f"/jobs/{job.pk}/advance/", {"entering": "ready"})
    job.refresh_from_db()
    assert job.stage == Stage.READY


def test_a_piece_of_another_job_is_not_found(office, job):
    other = rows.piece(rows.job("2"), "C")
    assert office.post(f"/jobs/{job.pk}/pieces/{other.pk}/inspect/").status_code == 404


def test_a_crew_may_not_cancel_its_job(job):
    rows.placement(rows.visit(job))
    page = Page(signed_in(rows.lead()).post(f"/jobs/{job.pk}/cancel/", {"reason": "tired"}))
    assert page.status == 403
    assert "you may not job cancel" in page.text.lower()


def test_a_crew_that_is_not_on_the_job_finds_no_form(job):
    other = signed_in(rows.lead(rows.crew("Crew Birch")))
    assert other.post(f"/jobs/{job.pk}/items/", {"what": "x"}).status_code == 404


def placed():
    """A visit that its crew may report on now."""
    rows.shop()
    now = timezone.now()
    visit = rows.visit(rows.job(stage=Stage.PLANNED))
    return rows.placement(visit, starts_at=now, ends_at=now + dt.timedelta(hours=3)).visit


def test_a_report_counts_once_however_often_its_form_is_sent():
    visit, crew = placed(), signed_in(rows.lead())
    form = {"client_id": str(uuid4()), "kind": "arrived", "note": "gate was open"}
    for _ in range(2):
        assert crew.post(f"/visits/{visit.pk}/report/", form)["Location"] == f"/visits/{visit.pk}/"
    assert StatusReport.objects.filter(note="gate was open").count() == 1


def test_a_report_on_a_piece_says_of_which():
    visit, crew = placed(), signed_in(rows.lead())
    form = {"client_id": str(uuid4()), "kind": "piece set"}
    page = Page(crew.post(f"/visits/{visit.pk}/report/", form))
    assert page.status == 409
    assert "say of which: A, B" in page.text
    is_well_made(page)
    assert crew.post(f"/visits/{visit.pk}/report/", form | {"about": "A"}).status_code == 302


def test_a_reader_has_no_report_form_and_cannot_send_one():
    visit, reader = placed(), signed_in(rows.person(Role.READER))
    assert "report/" not in Page(reader.get(f"/visits/{visit.pk}/")).html
    form = {"client_id": str(uuid4()), "kind": "arrived"}
    assert reader.post(f"/visits/{visit.pk}/report/", form).status_code == 403


@pytest.fixture
def draft():
    rows.shop()
    rows.lead().skills.set([])
    rows.person(Role.CREW_MEMBER, crew=rows.crew())
    rows.visit(rows.job(stage=Stage.READY), p50_min=60, p80_min=70, p90_min=80)
    tomorrow = timezone.now().date() + dt.timedelta(days=2)
    return plans.draft(
        first_on=tomorrow, last_on=tomorrow + dt.timedelta(days=6),
        by=rows.dispatcher(), now=timezone.now(),
    )  # fmt: skip


def test_a_draft_is_made_shown_and_published(office, draft):
    page = Page(office.get(f"/plans/{draft.pk}/"))
    assert "1 visit changes." in page.text
    assert "Nobody: no customer expects the crew at another hour." in page.text
    answer = Page(office.post(f"/plans/{draft.pk}/publish/", follow=True))
    assert f"Plan {draft.version} is published" in answer.text
    again = Page(office.post(f"/plans/{draft.pk}/publish/"))
    assert again.status == 409
    is_well_made(again)


def test_a_draft_is_discarded(office, draft):
    office.post(f"/plans/{draft.pk}/discard/")
    draft.refresh_from_db()
    assert draft.status == "discarded"


def test_a_draft_of_days_past_is_refused_with_the_reason(office):
    page = Page(office.post("/week/draft/", {"first_on": "2020-01-06", "days": 5}))
    assert page.status == 409
    assert "is not after today" in page.text
    assert not Plan.objects.exists()


@pytest.mark.parametrize(("first_on", "days"), [("2030-01-06", 400), ("9999-12-31", 10), ("", 1)])
def test_a_draft_of_days_that_cannot_be_is_refused(office, first_on, days):
    page = Page(office.post("/week/draft/", {"first_on": first_on, "days": days}))
    assert page.status == 422
    is_well_made(page)


@pytest.mark.parametrize("wrong", ["yesterday", "2026-02-31", "0001-01-01", "9999-12-31"])
def test_a_week_that_is_none_shows_this_week(office, wrong):
    assert "This week" in Page(office.get("/week/", {"from": wrong})).text


@pytest.mark.parametrize(("status", "is_shown"), [("dead", True), ("waiting", False)])
def test_errands_of_the_shop_are_no_messages_until_they_are_dead(office, status, is_shown):
    OutboxMessage.objects.create(
        created_at=rows.NOW, kind="learn", channel="errand", dedupe_key="learn", due_at=rows.NOW,
        next_at=None if status == "dead" else rows.NOW, status=status,
    )  # fmt: skip
    assert ("learn" in Page(office.get("/messages/")).text.lower()) is is_shown


def test_a_dead_message_is_tried_again(office, job):
    message = OutboxMessage.objects.create(
        created_at=rows.NOW, kind="visit-booked", channel="email", dedupe_key="k",
        due_at=rows.NOW, status="dead", job=job, last_error="550 no such mailbox",
    )  # fmt: skip
    assert "550 no such mailbox" in Page(office.get("/messages/")).text
    assert "1 message could not be sent" in Page(office.get("/")).text
    office.post(f"/messages/{message.pk}/retry/")
    message.refresh_from_db()
    assert message.status == "waiting"
    office.post(f"/messages/{message.pk}/give-up/")
    message.refresh_from_db()
    assert message.status == "dead"
