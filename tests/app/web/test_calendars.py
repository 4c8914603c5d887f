"""Calendar links: shown once, read by whoever has them, ended for good."""

import pytest
from django.test import Client

from crewjobs.models import Link
from tests import rows
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    rows.shop()


@pytest.fixture
def crew():
    return rows.crew()


def made(client, whose: str) -> Page:
    return Page(client.post("/feeds/make/", {"whose": whose}))


def test_an_address_is_shown_once_and_can_be_read(crew):
    office = signed_in(rows.dispatcher())
    page = made(office, f"crew {crew.pk}")
    is_well_made(page)
    webcal = next(h for a in page.all("a") if (h := a["href"]).startswith("webcal://"))
    path = f"/cal/{webcal.partition('/cal/')[2]}"
    assert Client().get(path).status_code == 200
    assert "/cal/" not in read(office, "/feeds/").html


def test_an_ended_link_shows_nothing():
    office = signed_in(rows.dispatcher())
    page = made(office, "shop")
    path = f"/cal/{page.text.partition('/cal/')[2].split()[0]}"
    office.post(f"/feeds/{Link.objects.get().pk}/revoke/")
    assert Client().get(path).status_code == 404


def test_a_crew_makes_its_own_and_no_other(crew):
    client = signed_in(rows.lead(crew))
    other = rows.crew("Crew Birch")
    assert made(client, f"crew {crew.pk}").status == 200
    for whose in (f"crew {other.pk}", "shop", "crew x", ""):
        assert made(client, whose).status == 422
    assert Link.objects.count() == 1


def test_a_crew_cannot_end_the_link_of_another(crew):
    made(signed_in(rows.dispatcher()), f"crew {crew.pk}")
    other = signed_in(rows.lead(rows.crew("Crew Birch")))
    assert other.post(f"/feeds/{Link.objects.get().pk}/revoke/").status_code == 404
