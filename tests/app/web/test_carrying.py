"""The way in on a job's page: in plain words, with its cautions, and notes out of the way."""

import pytest

from crewjobs.models import Units
from tests import rows
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

CORNER = {
    "created_at": rows.NOW, "position": 5, "kind": "turn", "name": "hall corner",
    "width_mm": 914, "depth_mm": 914, "height_mm": 2438, "turn_deg": 90,
}  # fmt: skip


@pytest.fixture
def job():
    rows.shop(units=Units.METRIC)
    found = rows.job()
    found.route.all().delete()
    found.route.create(**CORNER)
    return found


def page_of(job):
    page = read(signed_in(rows.dispatcher()), f"/jobs/{job.pk}/")
    assert page.status == 200
    is_well_made(page)
    return page


def test_each_piece_is_told_with_its_place_its_hands_and_the_cautions(job) -> None:
    page = page_of(job)
    assert "Fits only tilted Pitch of" in page.text
    assert "3 people" in page.text
    assert "lifting aid" in page.text
    assert "no rule is broken that we know of" in page.text
    assert "no load that can tip" in page.text
    assert "Depth 914 mm" in page.text


def test_a_piece_that_does_not_fit_is_told_where_a_seam_would_help(job) -> None:
    rows.piece(job, "C", 3600, position=2)
    text = page_of(job).text
    assert "Does not fit Tightest at hall corner" in text
    assert "mm too much; would pass with a seam at" in text


def test_what_nobody_measured_is_named_in_words(job) -> None:
    job.route.update(height_mm=None)
    page = page_of(job)
    assert "Not measured: hall corner: height. Nothing is said to fit until it is." in page.text


def test_the_pitch_of_stairs_is_shown_and_asked_for(job) -> None:
    stairs = CORNER | {"position": 6, "kind": "stairs", "name": "stairs", "turn_deg": None}
    job.route.create(**stairs)
    assert "the pitch of some stairs is not measured" in page_of(job).text
    job.route.filter(kind="stairs").update(pitch_deg=37)
    text = page_of(job).text
    assert "pitch 37°" in text
    assert "on stairs of 37°" in text


def test_a_job_without_sizes_has_no_such_section(job) -> None:
    job.pieces.all().delete()
    assert "Carrying in" not in page_of(job).text


def test_notes_are_folded_behind_what_stops_and_warns(job) -> None:
    rows.piece(job, "C", 3600, position=2)
    page = page_of(job)
    start = page.text.index("good to know, or not measured")
    assert page.text.index("stop ") < page.text.index("warn ") < start
    assert "warn " not in page.text[start:].split("Order")[0]
    assert page.text[start:].count("note ") > 1
