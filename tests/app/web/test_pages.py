"""Every page for every kind of person: who gets it, and that it is well made."""

import pytest
from django.test import Client
from django.urls import reverse

from crewjobs.actions import plans
from crewjobs.models import OutboxMessage
from tests import rows
from tests.app.web.pages import PEOPLE, Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

FOR_ALL = ("start", "jobs", "week", "calendars")
SEEN = {"the dispatcher": 200, "the crew on the job": 200, "a crew that is not": 404,
        "a reader": 200}  # fmt: skip
OFFICE = {"the dispatcher": 200, "the crew on the job": 403, "a crew that is not": 403,
          "a reader": 403}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    rows.shop()


@pytest.fixture
def visit():
    placed = rows.visit(rows.job())
    rows.placement(placed)
    return placed


def addresses(visit) -> list[str]:
    named = [reverse(name) for name in (*FOR_ALL, "messages")]
    return [*named, f"/jobs/{visit.job_id}/", f"/visits/{visit.pk}/"]


@pytest.mark.parametrize("who", PEOPLE)
def test_everybody_gets_the_pages_for_all(who):
    client = signed_in(PEOPLE[who]())
    for name in FOR_ALL:
        page = read(client, reverse(name))
        assert page.status == 200
        is_well_made(page)


@pytest.mark.parametrize("who", PEOPLE)
def test_a_job_is_not_found_by_a_crew_that_is_not_on_it(visit, who):
    client = signed_in(PEOPLE[who]())
    for address in (f"/jobs/{visit.job_id}/", f"/visits/{visit.pk}/"):
        page = read(client, address)
        assert page.status == SEEN[who]
        is_well_made(page)


@pytest.mark.parametrize("who", PEOPLE)
def test_only_the_office_reads_the_messages(who):
    page = read(signed_in(PEOPLE[who]()), reverse("messages"))
    assert page.status == OFFICE[who]
    is_well_made(page)


@pytest.mark.parametrize("who", PEOPLE)
def test_only_the_office_compares_a_draft(who, draft):
    page = read(signed_in(PEOPLE[who]()), f"/plans/{draft.pk}/")
    assert page.status == OFFICE[who]
    is_well_made(page)


@pytest.fixture
def draft():
    first_on = rows.NOW.date().replace(day=8)
    return plans.draft(first_on=first_on, last_on=first_on, by=rows.dispatcher(), now=rows.NOW)


def test_who_is_not_signed_in_is_sent_to_the_sign_in(visit):
    for address in addresses(visit):
        response = Client().get(address)
        assert response.status_code == 302
        assert response["Location"] == f"/sign-in/?next={address}"


@pytest.mark.usefixtures("draft")
def test_a_draft_is_seen_by_the_office_alone():
    week = f"{reverse('week')}?from=2026-06-08"
    assert "Nobody has been told" in read(signed_in(rows.dispatcher()), week).text
    assert "Draft" not in read(signed_in(rows.lead()), week).text


def test_a_page_is_kept_by_no_cache(visit):
    response = signed_in(rows.dispatcher()).get(f"/jobs/{visit.job_id}/")
    assert "no-store" in response["Cache-Control"]
    assert "default-src 'self'" in response["Content-Security-Policy"]


def test_what_a_customer_is_called_is_shown_and_not_run():
    rows.shop()
    evil = "<script>alert('a')</script>"
    job = rows.job(site=rows.site(rows.customer(evil), street=evil, access_note=evil), title=evil)
    place = rows.placement(rows.visit(job))
    client = signed_in(rows.dispatcher())
    known = ["/", "/jobs/", "/week/?from=2026-06-01", f"/jobs/{job.pk}/"]
    for address in (*known, f"/visits/{place.visit_id}/"):
        page = read(client, address)
        is_well_made(page)
        assert "<script" not in page.html
    assert evil in read(client, f"/jobs/{job.pk}/").text


def test_an_unknown_address_has_a_page_of_its_own():
    rows.shop()
    page = read(Client(), "/nowhere/")
    assert page.status == 404
    is_well_made(page)


def test_nothing_here_is_for_search_engines():
    answer = Client().get("/robots.txt")
    assert answer.content == b"User-agent: *\nDisallow: /\n"


def test_a_form_from_elsewhere_is_refused_on_a_page(visit):
    client = Client(enforce_csrf_checks=True)
    client.force_login(rows.dispatcher())
    page = Page(client.post(f"/jobs/{visit.job_id}/hold/", {"reason": "remake"}))
    assert page.status == 403
    is_well_made(page)


@pytest.mark.parametrize("name", FOR_ALL)
def test_a_page_asks_the_database_as_often_for_twenty_as_for_one(
    name, django_assert_max_num_queries
):
    rows.shop()
    client = signed_in(rows.dispatcher())
    counts = []
    for first in (1, 2):
        for number in range(first, first + 19 * (first - 1) + 1):
            place = rows.placement(rows.visit(rows.job(f"{number}")))
            waiting = rows.visit(rows.job(f"w{number}"), "template")
            OutboxMessage.objects.create(
                created_at=rows.NOW, kind="visit-booked", channel="email", dedupe_key=f"{number}",
                due_at=rows.NOW, status="dead", job=waiting.job, visit=place.visit,
            )  # fmt: skip
        with django_assert_max_num_queries(30) as asked:
            client.get(f"{reverse(name)}?from=2026-06-01")
        counts.append(len(asked.captured_queries))
    assert counts[0] == counts[1]
