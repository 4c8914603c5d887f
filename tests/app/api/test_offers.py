"""Windows to promise, through the API."""

import pytest

from crewjobs.domain.facts import Stage
from crewjobs.models import Role, Skill, Truck
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    skill = Skill.objects.create(created_at=rows.NOW, code="install", name="Installing")
    for number in range(3):
        rows.person(Role.CREW_MEMBER, f"Hand {number}", crew=rows.crew()).skills.add(skill)
    return api(rows.dispatcher())


def test_work_not_yet_booked_is_offered_windows_with_their_numbers(office) -> None:
    site = rows.job().site
    asked = {"lat": site.lat, "lon": site.lon, "minutes": 90, "hands": 2, "days": 7}
    answer = office.post(at("offers/"), asked)
    assert answer.status_code == 200, answer.content
    found = answer.json()
    assert found
    costs = [each["extra_cost"] for each in found]
    assert costs == sorted(costs)
    assert all(each["earliest_at"] <= each["starts_at"] <= each["latest_at"] for each in found)
    assert office.post(at("offers/"), asked | {"hands": 9}).json() == []


def test_skills_and_long_pieces_narrow_what_is_offered(office) -> None:
    site = rows.job().site
    asked = {"lat": site.lat, "lon": site.lon, "minutes": 90, "hands": 2}

    def found(**more):
        answer = office.post(at("offers/"), asked | more)
        assert answer.status_code == 200, answer.content
        return answer.json()

    Skill.objects.create(created_at=rows.NOW, code="steam-room", name="Steam rooms")
    truck_mm = Truck.objects.get().frame_length_mm
    assert found(skills=["install"], longest_piece_mm=truck_mm) == found()
    assert found(skills=["install", "steam-room"]) == []
    assert found(longest_piece_mm=truck_mm + 1) == []
    assert found(longest_piece_mm="9 ft") == found()
    assert office.post(at("offers/"), asked | {"skills": ["none such"]}).status_code == 400
    assert office.post(at("offers/"), asked | {"longest_piece_mm": -1}).status_code == 400


def test_a_visit_is_offered_windows(office) -> None:
    visit = rows.visit(rows.job("1009", stage=Stage.READY), hands=3)
    found = office.get(at(f"visits/{visit.pk}/offers/"))
    assert found.status_code == 200, found.content
    assert {each["crew_name"] for each in found.json()} == {"Crew Ash"}
    assert api(rows.lead()).get(at(f"visits/{visit.pk}/offers/")).status_code == 403
