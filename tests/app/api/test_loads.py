"""The load of a crew's day through the API: whole, explained, and only for those who see it."""

import pytest

from crewjobs.models import Plan, PlannedVisit, Role, Truck
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew():
    """Two jobs on one day: of each a top of 2,440 mm with a sink, and one of 1,900 mm."""
    rows.shop()
    rows.placement(rows.visit(rows.job("1001")))
    later = rows.visit(rows.job("1002"))
    rows.placement(later, starts_at=rows.at(3, 20), ends_at=rows.at(3, 21))
    return rows.crew()


def load(client, crew, **more):
    answer = client.get(at(f"crews/{crew.pk}/loads/"), {"on": "2026-06-03", **more})
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_both_sides_are_told_with_every_figure(crew) -> None:
    found = load(api(rows.dispatcher()), crew)
    assert found["problems"] == []
    assert found["is_exact"]
    places = found["left"] + found["right"]
    assert sorted(place["name"] for place in places) == ["1001 A", "1001 B", "1002 A", "1002 B"]
    assert found["mass_kg"] == pytest.approx(sum(place["mass_kg"] for place in places))
    assert [each["after_stop"] for each in found["imbalance"]] == [0, 1]
    left, right = (sum(place["mass_kg"] for place in found[side]) for side in ("left", "right"))
    assert found["imbalance"][0]["apart_kg"] == pytest.approx(left - right)
    assert found["rehandles"] == 0
    assert {place["facing"] for place in found["left"][:1]} == {"face out"}
    assert [stop["brings"] for stop in found["stops"]] == [
        ["1001 A", "1001 B"], ["1002 A", "1002 B"],
    ]  # fmt: skip
    assert found["frame"]["side_kg"] == 900


def test_what_comes_off_where_and_what_goes_on_when(crew) -> None:
    found = load(api(rows.dispatcher()), crew)
    assert len(found["loading"]) == 4
    off = {each["stop"]: [step["name"] for step in each["steps"]] for each in found["unloading"]}
    assert off == {1: ["1001 A", "1001 B"], 2: ["1002 A", "1002 B"]}
    assert not any(step["goes_back"] for each in found["unloading"] for step in each["steps"])


def test_tie_downs_come_with_their_source_and_caution(crew) -> None:
    """Each side is no longer than 10 feet: two tie-downs, of half its mass together."""
    found = load(api(rows.dispatcher()), crew)["securing"]
    assert found["left"]["tie_downs"] == found["right"]["tie_downs"] == 2
    assert found["left"]["blocked_tie_downs"] == 1
    assert found["left"]["least_limit_kg"] == pytest.approx(found["left"]["mass_kg"] / 2)
    assert found["left"]["down_kg"] == pytest.approx(found["left"]["mass_kg"] / 5)
    assert "49 CFR 393" in found["basis"]
    assert "Local rules" in found["caution"]


def test_other_overhang_limits_stand_beside_the_shop_s_own(crew) -> None:
    shop = rows.shop()
    shop.limits = {"frame_most_overhang_mm": 400}
    shop.save()
    found = load(api(rows.dispatcher()), crew)["overhangs"]
    assert [(each["most_overhang_mm"], each["is_own"]) for each in found] == [
        (900, False), (500, False), (400, True), (300, False), (200, False),
    ]  # fmt: skip
    again = [each["rehandles"] for each in found if each["is_feasible"]]
    assert again == sorted(again)


def test_a_problem_is_told_with_value_limit_and_source(crew) -> None:
    Truck.objects.update(payload_kg=100, frame_side_kg=1000)
    (found,) = load(api(rows.dispatcher()), crew)["problems"]
    assert (found["code"], found["severity"], found["limit"]) == ("load_plan", "stop", 100)
    assert found["value"] > 100
    assert "common practice" in found["source"]


def test_without_a_truck_that_is_what_is_told(crew) -> None:
    crew.truck = None
    crew.save()
    found = load(api(rows.dispatcher()), crew)
    assert found["frame"] is None
    assert found["left"] == found["right"] == found["overhangs"] == []
    assert "no truck" in found["problems"][0]["message"]


def test_a_day_without_stone_is_an_empty_truck(crew) -> None:
    found = load(api(rows.dispatcher()), crew, on="2026-06-04")
    assert found["stops"] == found["left"] == found["problems"] == []
    assert found["securing"]["left"]["tie_downs"] == 0


def test_a_draft_is_the_office_s_own(crew) -> None:
    plan = Plan.objects.create(
        created_at=rows.NOW, changed_at=rows.NOW, version=1, first_on="2026-06-03",
        last_on="2026-06-05", made_by=rows.dispatcher(),
    )  # fmt: skip
    PlannedVisit.objects.create(
        created_at=rows.NOW, plan=plan, visit=rows.visit(rows.job("1003")), crew=crew,
        starts_at=rows.at(3, 22), ends_at=rows.at(3, 23),
    )  # fmt: skip
    found = load(api(rows.dispatcher()), crew, plan=str(plan.pk))
    assert len(found["stops"]) == 3
    assert found["plan"] == str(plan.pk)
    where, asked = at(f"crews/{crew.pk}/loads/"), {"on": "2026-06-03", "plan": str(plan.pk)}
    assert api(rows.lead(crew)).get(where, asked).status_code == 404
    assert api(rows.dispatcher()).get(where, asked | {"plan": "x"}).status_code == 400


def test_only_the_office_and_the_crew_itself_see_it(crew) -> None:
    assert load(api(rows.lead(crew)), crew)["stops"]
    where = at(f"crews/{crew.pk}/loads/")
    stranger = api(rows.lead(rows.crew("Crew Birch")))
    assert stranger.get(where, {"on": "2026-06-03"}).status_code == 404
    assert api(rows.person(Role.READER)).get(where, {"on": "2026-06-03"}).status_code == 200
    assert api(rows.dispatcher()).get(where, {"on": "June"}).status_code == 400


def test_what_a_side_bears_is_told_with_the_truck(crew) -> None:
    truck = {
        "name": "Truck 9", "depot": str(crew.depot_id), "payload_kg": 1500,
        "frame_length_mm": 3000, "frame_height_mm": 1600, "frame_thickness_mm": 400,
    }  # fmt: skip
    office = api(rows.dispatcher())
    known = office.post(at("trucks/"), truck | {"frame_side_kg": 600}, format="json")
    assert (known.status_code, known.json()["frame_side_kg"]) == (201, 600)
    other = office.post(at("trucks/"), truck | {"name": "Truck 10"}, format="json")
    assert other.json()["frame_side_kg"] is None
    none = office.post(at("trucks/"), truck | {"name": "11", "frame_side_kg": 0}, format="json")
    assert none.status_code == 400
