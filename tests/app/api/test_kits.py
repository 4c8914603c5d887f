"""The kit of a visit through the API: amounts with their reasons, for those who may see it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crewjobs.models import Role
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    rows.shop()
    return rows.visit(rows.job())


def kit(client, visit):
    answer = client.get(at(f"visits/{visit.pk}/kit/"))
    assert answer.status_code == 200, answer.content
    return {line["name"]: line for line in answer.json()}


def test_each_line_has_its_amount_its_reason_and_its_source(visit) -> None:
    visit.job.seams.update(adhesive="polyester, bone white")
    found = kit(api(rows.dispatcher()), visit)
    seam = found["polyester, bone white, knife grade"]
    assert seam["value"] == pytest.approx(650 * 30 * 1.5 * 1.35 / 1000)
    assert (seam["unit"], seam["why"]) == ("ml", "seam A-B")
    assert "no flame" in seam["caution"]
    assert found["shims"]["value"] == 16
    assert found["cleaner for the joints"]["value"] is None
    assert found["stiffener rail"]["size_mm"] == 1060
    assert all(line["source"] and line["why"] for line in found.values())


def test_a_return_visit_counts_its_own_pieces_alone(visit) -> None:
    back = rows.visit(visit.job, "return")
    back.pieces.set(visit.job.pieces.filter(name="B"))
    found = kit(api(rows.dispatcher()), back)
    assert "stiffener rail" not in found
    assert "shims" not in found
    assert found["silicone, tube"]["why"] == "B"


def test_the_shop_s_own_limits_and_rules_count(visit) -> None:
    shop = rows.shop()
    office = api(rows.dispatcher())
    assert "respirator, APF 20" not in kit(office, visit)
    visit.job.pieces.filter(name="B").update(needs_field_cut=True)
    assert "respirator, APF 20" in kit(office, visit)
    shop.dust_rules, shop.limits = "US", {"rail_safety_factor": 1, "rail_least_mm": 10}
    shop.save()
    found = kit(office, visit)
    assert "respirator, APF 20" not in found
    assert "respirator, APF 10" in found


def test_office_reader_and_the_crew_that_comes_see_it_others_do_not(visit) -> None:
    placed = rows.placement(visit)
    for person in (rows.dispatcher(), rows.person(Role.READER), rows.lead(placed.crew)):
        assert kit(api(person), visit)
    stranger = rows.lead(rows.crew("Crew Birch"))
    assert api(stranger).get(at(f"visits/{visit.pk}/kit/")).status_code == 404


def test_it_costs_the_same_for_two_pieces_and_for_ten(visit) -> None:
    office = api(rows.dispatcher())
    with CaptureQueriesContext(connection) as few:
        kit(office, visit)
    for number in range(8):
        rows.piece(visit.job, f"P{number}", 1200)
    with CaptureQueriesContext(connection) as many:
        kit(office, visit)
    assert len(few) == len(many) <= 30
