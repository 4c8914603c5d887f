"""The first page: what stands out today, and what waits."""

import datetime as dt

import pytest
from django.utils import timezone

from crewjobs.domain.facts import HoldReason, ReportKind
from crewjobs.models import Hold, StatusReport
from tests import rows
from tests.app.web.pages import Page, is_well_made, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop(time_zone="UTC")
    return signed_in(rows.dispatcher())


def first_page(client) -> Page:
    page = Page(client.get("/"))
    is_well_made(page)
    return page


def today(hour: float) -> dt.datetime:
    midnight = timezone.now().replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight + dt.timedelta(hours=hour)


def placed_today(**fields):
    visit = rows.visit(**fields)
    return rows.placement(visit, starts_at=today(0), ends_at=today(0.1))


def test_a_visit_that_runs_late_is_named_with_its_finish(office):
    placed_today(started_at=today(0), live_finish_at=today(1.6), progress_share=0.4)
    text = first_page(office).text
    assert "on site since 00:00 late by 1:30" in text
    assert "40 % 01:36" in text


def test_a_finished_visit_is_done(office):
    placed_today(started_at=today(0), finished_at=today(0.05), progress_share=1)
    text = first_page(office).text
    assert "done 100 % 00:03" in text
    assert "late" not in text


def test_what_waits_is_shown_with_its_reason(office):
    job = rows.job("1001")
    rows.visit(job)
    held = rows.job("1002")
    rows.visit(held)
    Hold.objects.create(
        created_at=rows.NOW, job=held, reason=HoldReason.PAYMENT_DUE, placed_by=rows.dispatcher()
    )
    text = first_page(office).text
    assert "1001 install Mara Linden, Alder Bay 3:00 not put to a plan yet" in text
    assert "1002 install" not in text
    assert "1002 Mara Linden payment due" in text


def test_a_no_go_and_a_flag_are_news(office):
    place = rows.placement()
    for kind, flag in ((ReportKind.NO_GO, ""), (ReportKind.ARRIVED, "the visit was cancelled")):
        StatusReport.objects.create(
            created_at=timezone.now(), happened_at=timezone.now(), visit=place.visit,
            person=rows.lead(), kind=kind, flag=flag, note="cabinets missing",
        )  # fmt: skip
    text = first_page(office).text
    assert "no go cabinets missing" in text
    assert "the visit was cancelled" in text


@pytest.mark.usefixtures("office")
def test_a_crew_sees_its_own_visits_and_nothing_that_waits():
    placed_today()
    rows.visit(rows.job("2002"))
    text = first_page(signed_in(rows.lead())).text
    assert "1001 install" in text
    assert "2002" not in text
    assert "Waits for dispatch" not in text
    assert "No visit is published" in first_page(signed_in(rows.lead(rows.crew("Crew Birch")))).text
