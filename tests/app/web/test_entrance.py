"""Founding the shop, signing in, signing out."""

import pytest
from django.test import Client

from crewjobs.models import Person, Shop
from tests import rows
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

SHOP = {
    "shop": "Alder Bay Stone", "time_zone": "America/Chicago", "units": "metric",
    "currency": "USD", "name": "Dana Office", "email": "dana@example.test",
    "password": rows.PASSWORD,
}  # fmt: skip


def person():
    rows.shop()
    made = rows.dispatcher()
    made.set_password(rows.PASSWORD)
    made.save()
    return made


def test_without_a_shop_every_page_leads_to_its_founding():
    for address in ("/", "/jobs/", "/sign-in/"):
        assert Client().get(address)["Location"] == "/found/"
    is_well_made(read(Client(), "/found/"))


def test_a_shop_is_founded_once():
    client = Client()
    assert client.post("/found/", SHOP)["Location"] == "/sign-in/"
    assert Shop.objects.get().units == "metric"
    assert Person.objects.get().role == "dispatcher"
    client.post("/found/", SHOP | {"email": "other@example.test"})
    assert Person.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [("time_zone", "Mars/Olympus", "no time zone"), ("password", "short", "too short"),
     ("email", "dana", "valid email"), ("currency", "dollars", "valid value")],
)  # fmt: skip
def test_a_shop_that_cannot_be_is_not_founded(field, value, says):
    page = Page(Client().post("/found/", SHOP | {field: value}))
    assert page.status == 422
    assert says in page.text
    is_well_made(page)
    assert not Shop.objects.exists()


def test_signing_in_leads_to_the_page_that_was_asked_for():
    form = {"email": person().email.upper(), "password": rows.PASSWORD, "next": "/jobs/"}
    client = Client()
    assert client.post("/sign-in/", form)["Location"] == "/jobs/"
    assert read(client, "/jobs/").status == 200


@pytest.mark.parametrize("onward", ["https://evil.test/", "//evil.test/", "javascript:alert(1)"])
def test_signing_in_leads_nowhere_else(onward):
    form = {"email": person().email, "password": rows.PASSWORD, "next": onward}
    assert Client().post("/sign-in/", form)["Location"] == "/"


@pytest.mark.parametrize("wrong", [{"password": "not this one"}, {"email": "no@example.test"}])
def test_a_wrong_password_and_an_unknown_person_look_the_same(wrong):
    page = Page(
        Client().post("/sign-in/", {"email": person().email, "password": rows.PASSWORD} | wrong)
    )
    assert page.status == 422
    assert "do not belong together" in page.text
    is_well_made(page)


def test_who_has_left_the_shop_cannot_sign_in():
    gone = person()
    gone.is_active = False
    gone.save()
    form = {"email": gone.email, "password": rows.PASSWORD}
    assert Client().post("/sign-in/", form).status_code == 422


def test_signing_out_is_a_deed_and_not_a_look():
    client = signed_in(person())
    assert client.get("/sign-out/").status_code == 405
    assert read(client, "/").status == 200
    client.post("/sign-out/")
    assert client.get("/").status_code == 302
