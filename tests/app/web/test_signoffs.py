"""The customer's page: shown by looking, signed by sending."""

import pytest
from django.test import Client

from crewjobs.actions import links
from crewjobs.domain.facts import Stage
from crewjobs.models import Job, OpenItem, Purpose, SignOff
from tests import rows
from tests.app import on_site
from tests.app.web.pages import Page, is_well_made, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    """An installed job, reviewed with the customer."""
    visit = on_site.planned()
    on_site.work_through(visit)
    return Job.objects.get()


@pytest.fixture
def address(job):
    _, token = links.make(purpose=Purpose.SIGN_OFF, job=job, by=rows.dispatcher(), now=rows.NOW)
    return f"/sign-off/{token}/"


def form_of(page: Page, **more) -> dict[str, str]:
    hidden = {a["name"]: a["value"] for a in page.all("input") if a["type"] == "hidden"}
    return {**hidden, "signer_name": "Mara Linden", "accepts": "on", **more}


def test_looking_shows_the_text_and_signs_nothing(address):
    for _ in range(2):
        page = read(Client(), address)
        assert page.status == 200
        assert "Pieces of stone that were installed" in page.text
        is_well_made(page)
    assert not SignOff.objects.exists()


def test_the_page_goes_to_nobody_else(address):
    response = Client().get(address)
    assert response["Referrer-Policy"] == "same-origin"
    assert "no-store" in response["Cache-Control"]


def test_a_typed_name_signs_the_job_off(address, job):
    form = form_of(read(Client(), address))
    page = Page(Client().post(address, form))
    assert page.status == 200, page.text
    assert "Signed by Mara Linden" in page.text
    is_well_made(page)
    job.refresh_from_db()
    assert job.stage == Stage.SIGNED_OFF
    assert "Signed by Mara Linden" in read(Client(), address).text


def test_without_the_tick_or_the_name_nothing_is_signed(address):
    form = form_of(read(Client(), address))
    for lacking in ({"accepts": ""}, {"signer_name": " "}):
        page = Page(Client().post(address, form | lacking))
        assert page.status == 422
        is_well_made(page)
    assert not SignOff.objects.exists()


def test_a_text_that_has_changed_is_shown_again_instead_of_signed(address, job):
    form = form_of(read(Client(), address))
    OpenItem.objects.create(
        created_at=rows.NOW, job=job, what="polish the corner", opened_by=rows.dispatcher()
    )
    page = Page(Client().post(address, form))
    assert page.status == 409
    assert "the text has changed" in page.text
    assert "polish the corner" in page.text
    refused = Page(Client().post(address, form_of(page)))
    assert refused.status == 409
    signed = Page(Client().post(address, form_of(refused, accepts_open_items="on")))
    assert signed.status == 200


def test_an_address_that_has_ended_shows_nothing(address, job):
    links.revoke(job.links.get(), by=rows.dispatcher(), now=rows.NOW)
    page = read(Client(), address)
    assert page.status == 404
    is_well_made(page)


def test_the_office_makes_the_address_for_the_customer(job, settings):
    settings.PUBLIC_URL = "https://office.example.test"
    client = Client()
    client.force_login(rows.dispatcher())
    page = Page(client.post(f"/jobs/{job.pk}/sign-off-link/"))
    assert "https://office.example.test/sign-off/" in page.text
    assert (
        read(client, page.text.partition("https://office.example.test")[2].split()[0]).status == 200
    )
