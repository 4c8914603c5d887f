"""The page of the shop's questions: other words, left out, more of them."""

import pytest

from crewjobs.models import Role
from tests import rows
from tests.app.web.pages import Page, is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return signed_in(rows.dispatcher())


def own() -> dict:
    kept: dict = rows.shop().questions
    return kept


def changed(office, **fields) -> Page:
    return Page(office.post("/questions/change/", fields, follow=True))


def added(office, **fields) -> Page:
    told = {"form": "walk-through", "kind": "yes or no", "severity": "warn"} | fields
    return Page(office.post("/questions/add/", told, follow=True))


def test_the_page_tells_every_question_with_its_source(office) -> None:
    page = read(office, "/questions/")
    is_well_made(page)
    assert "All cabinets stand in their places and are fixed" in page.text
    assert "Dimension Stone Design Manual" in page.text


def test_a_question_is_reworded_left_out_and_usual_again(office) -> None:
    which = "walk-through/water"
    page = changed(office, which=which, words="A hose reaches in", severity="stop", do="keep")
    assert "The question is changed." in page.text
    assert own() == {"walk-through": {"water": {"words": "A hose reaches in", "severity": "stop"}}}
    left = changed(office, which=which, do="leave")
    is_well_made(left)
    assert own() == {"walk-through": {"water": None}}
    assert "Walk-through: There is water for wet work" in left.text.partition("Left out")[2]
    changed(office, which=which, do="usual")
    assert own() == {}


def test_a_shop_asks_more_and_stops_asking(office) -> None:
    assert "asked from now on" in added(office, words="The dog is locked away").text
    added(office, words="The dog is locked away", severity="stop")
    added(office, words="Reveal", kind="measure", most_mm="1/4")
    added(office, words="Cat", kind="choice", choices="in, out", bad="out")
    assert own()["walk-through"] == {
        "the_dog_is_locked_away": {
            "words": "The dog is locked away", "kind": "yes or no", "severity": "warn",
        },
        "the_dog_is_locked_away_2": {
            "words": "The dog is locked away", "kind": "yes or no", "severity": "stop",
        },
        "reveal": {"words": "Reveal", "kind": "measure", "severity": "warn", "most_mm": 6.35},
        "cat": {
            "words": "Cat", "kind": "choice", "severity": "warn", "choices": ["in", "out"],
            "bad": ["out"],
        },
    }  # fmt: skip
    changed(office, which="walk-through/cat", do="leave")
    assert "cat" not in own()["walk-through"]


def test_what_cannot_be_asked_is_refused(office) -> None:
    page = added(office, words="Cat", kind="choice")
    is_well_made(page)
    assert (page.status, "a choice has them" in page.text) == (409, True)
    assert added(office, words=" ").status == 422
    assert added(office, words="Reveal", kind="measure", most_mm="wide").status == 422
    assert changed(office, which="walk-through/nothing", do="keep").status == 422
    assert own() == {}


def test_others_read_and_do_not_change() -> None:
    rows.shop()
    crew = signed_in(rows.person(Role.CREW_LEAD, crew=rows.crew()))
    page = read(crew, "/questions/")
    assert page.status == 200
    assert "Ask another" not in page.text
    assert crew.post("/questions/add/", {"words": "x"}).status_code == 403
