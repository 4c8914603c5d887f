"""The way in, piece by piece, through the API: numbers with what each does not cover."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crewjobs.models import Role
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


def corner(job, position: int = 0, **fields) -> None:
    """The corner of two halls of 3 ft under a ceiling of 8 ft."""
    sizes = {"width_mm": 914, "depth_mm": 914, "height_mm": 2438, "turn_deg": 90}
    job.route.create(
        **{"created_at": rows.NOW, "position": position, "kind": "turn", "name": "hall corner"}
        | sizes
        | fields
    )


@pytest.fixture
def job():
    """Tops of 2440 and 1900 mm that go round one corner."""
    rows.shop()
    found = rows.job()
    found.route.all().delete()
    corner(found)
    return found


def carry_in(client, job):
    answer = client.get(at(f"jobs/{job.pk}/carry-in/"))
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_each_piece_has_its_verdict_with_place_and_numbers(job) -> None:
    found = carry_in(api(rows.dispatcher()), job)
    long, short = (each["verdict"] for each in found["pieces"])
    assert long["answer"] == "fits only tilted"
    assert long["tightest"] == "hall corner"
    assert [tilt["how"] for tilt in long["tilts"]] == ["pitch"]
    assert long["level_mm"] < 2440 < long["tilted_mm"]
    assert "hall corner" in long["sentence"]
    assert "clearances" in long["sentence"]
    assert short["answer"] == "fits"
    assert short["margin_mm"] == pytest.approx(short["level_mm"] - 1900)
    assert found["longest"]["depth_mm"] == 650
    assert found["longest"]["level_mm"] == long["level_mm"]
    assert found["longest"]["level_at"] == "hall corner"
    assert "no rule is broken that we know of" in found["caution"]
    assert "safe" not in str(found)


def test_what_is_too_long_is_told_where_a_seam_would_help(job) -> None:
    rows.piece(job, "C", 3600, position=2)
    long = carry_in(api(rows.dispatcher()), job)["pieces"][2]["verdict"]
    assert long["answer"] == "does not fit"
    assert long["margin_mm"] < 0
    assert long["seams_mm"]


def test_a_way_that_nobody_measured_admits_nothing(job) -> None:
    job.route.update(height_mm=None, width_mm=None)
    found = carry_in(api(rows.dispatcher()), job)
    verdict = found["pieces"][0]["verdict"]
    assert verdict["answer"] == "not measured"
    assert (verdict["level_mm"], verdict["margin_mm"]) == (None, None)
    assert verdict["missing"] == found["longest"]["missing"] == ["hall corner: width_mm, height_mm"]
    job.route.all().delete()
    assert carry_in(api(rows.dispatcher()), job)["longest"] is None


def test_hands_are_three_numbers_each_with_what_it_does_not_cover(job) -> None:
    found = carry_in(api(rows.dispatcher()), job)
    hands = found["pieces"][0]["hands"]
    assert hands["mass_kg"] == pytest.approx(91.1, abs=0.2)
    assert hands["shop_people"] == 3
    assert hands["guideline_people"] is None
    assert hands["index_factor"] == pytest.approx(2.64, abs=0.01)
    assert hands["asks_for_aid"]
    assert found["people"] == 2
    for method in ("shop", "guideline", "index"):
        assert "stairs" in hands[f"{method}_not_covered"]


def test_the_lower_end_bears_more_on_stairs_that_were_measured(job) -> None:
    office = api(rows.dispatcher())
    level = carry_in(office, job)
    corner(job, 1, kind="stairs", name="stairs", turn_deg=None)
    unknown = carry_in(office, job)
    assert unknown["is_pitch_missing"]
    job.route.filter(kind="stairs").update(pitch_deg=37)
    steep = carry_in(office, job)
    assert not steep["is_pitch_missing"]
    assert steep["pitch_deg"] == 37
    shares = [each["pieces"][0]["hands"]["lower_share"] for each in (level, unknown, steep)]
    assert shares[0] == shares[1] < shares[2]


def test_office_reader_and_the_crew_that_comes_see_it_others_do_not(job) -> None:
    placed = rows.placement(rows.visit(job))
    for person in (rows.dispatcher(), rows.person(Role.READER), rows.lead(placed.crew)):
        assert carry_in(api(person), job)["pieces"]
    stranger = rows.lead(rows.crew("Crew Birch"))
    assert api(stranger).get(at(f"jobs/{job.pk}/carry-in/")).status_code == 404
    assert api().get(at(f"jobs/{job.pk}/carry-in/")).status_code == 401


def test_it_costs_the_same_for_two_pieces_and_for_ten(job) -> None:
    office = api(rows.dispatcher())
    with CaptureQueriesContext(connection) as few:
        carry_in(office, job)
    for number in range(8):
        rows.piece(job, f"P{number}", 1200)
        corner(job, number + 1, length_mm=3000)
    with CaptureQueriesContext(connection) as many:
        assert len(carry_in(office, job)["pieces"]) == 10
    assert len(few) == len(many) <= 25
