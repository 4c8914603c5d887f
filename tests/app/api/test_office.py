"""The office through the API: plans, the shop, people and crews, the outbox, a file of orders."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from crewjobs.domain.facts import Stage
from crewjobs.models import Job, OutboxMessage, Person, Placement, Role, Skill
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db
TODAY = dt.datetime.now(tz=dt.UTC).date()
MONDAY = TODAY + dt.timedelta(7 - TODAY.weekday() + 7)
FRIDAY = MONDAY + dt.timedelta(4)


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


@pytest.fixture
def visit():
    skill = Skill.objects.create(created_at=rows.NOW, code="install", name="Installing")
    for number in range(3):
        rows.person(Role.CREW_MEMBER, f"Hand {number}", crew=rows.crew()).skills.add(skill)
    return rows.visit(rows.job(stage=Stage.READY), hands=3)


def drafted(office):
    days = {"first_on": str(MONDAY), "last_on": str(FRIDAY)}
    answer = office.post(at("plans/"), days)
    assert answer.status_code == 201, answer.content
    return answer.json()


def test_a_plan_is_drafted_compared_and_published(office, visit) -> None:
    plan = drafted(office)
    assert [each["visit"] for each in plan["planned"]] == [str(visit.pk)]
    where = f"plans/{plan['id']}/"
    [change] = office.get(at(f"{where}compare/")).json()
    assert change["before"] is None
    assert change["after"]["crew_name"] == "Crew Ash"
    crew = api(rows.lead())
    assert crew.get(at(where)).status_code == 404
    published = office.post(at(f"{where}publish/"))
    assert published.json()["status"] == "published"
    assert Placement.objects.get().visit_id == visit.pk
    assert len(crew.get(at(where)).json()["planned"]) == 1
    assert api(rows.lead(rows.crew("Crew Birch"))).get(at(where)).json()["planned"] == []
    assert office.post(at(f"{where}publish/")).status_code == 409


def test_a_planned_visit_is_moved_by_hand_or_taken_out(office, visit) -> None:
    plan = drafted(office)
    where = f"plans/{plan['id']}/"
    to = {"crew": str(rows.crew().pk), "starts_at": f"{MONDAY}T09:30:00-06:00"}
    moved = office.post(at(f"{where}moves/"), {"visit": str(visit.pk)} | to)
    assert moved.status_code == 200, moved.content
    assert moved.json()["planned"][0]["starts_at"].startswith(str(MONDAY))
    at_night = to | {"starts_at": f"{MONDAY}T23:30:00-06:00"}
    refused = office.post(at(f"{where}moves/"), {"visit": str(visit.pk)} | at_night)
    assert (refused.status_code, bool(refused.json()["findings"])) == (409, True)
    out = office.post(at(f"{where}moves/"), {"visit": str(visit.pk)})
    assert out.json()["planned"] == []
    assert office.post(at(f"{where}discard/")).json()["status"] == "discarded"


def test_a_plan_of_the_past_is_pointed_at(office) -> None:
    answer = office.post(at("plans/"), {"first_on": "2020-01-01", "last_on": "2020-01-03"})
    assert [each["pointer"] for each in answer.json()["errors"]] == ["/first_on"]


def test_the_shop_counts_in_other_ways(office) -> None:
    changed = office.patch(at("shop/"), {"units": "metric", "speed_kmh": 50})
    assert (changed.json()["units"], changed.json()["speed_kmh"]) == ("metric", 50)
    wrong = office.patch(at("shop/"), {"speed_kmh": 0, "time_zone": "Moon", "currency": "dollars"})
    assert {each["pointer"] for each in wrong.json()["errors"]} == {
        "/speed_kmh", "/time_zone", "/currency",
    }  # fmt: skip


def test_standard_minutes_are_changed_by_name(office) -> None:
    name = office.get(at("standard-minutes/")).json()[0]["name"]
    changed = office.put(at("standard-minutes/"), {"minutes": {name: 12.5}}).json()[0]
    assert (changed["name"], changed["value_min"]) == (name, 12.5)
    assert changed["prior_min"] != 12.5
    wrong = office.put(at("standard-minutes/"), {"minutes": {"magic": 1}})
    assert [each["pointer"] for each in wrong.json()["errors"]] == ["/standard_minutes/magic"]


def test_every_rule_is_listed_by_its_code(office) -> None:
    assert all(rule["code"] and rule["title"] for rule in office.get(at("rules/")).json())


def test_a_crew_is_set_up_from_nothing(office) -> None:
    place = {"street": "1 Road", "town": "Alder Bay", "lat": 44.9, "lon": -91.9}
    depot = office.post(at("depots/"), {"name": "East", "time_zone": "UTC", **place}).json()
    frame = {f"frame_{side}_mm": "4'" for side in ("length", "height", "thickness")}
    truck = office.post(
        at("trucks/"), {"name": "Blue", "depot": depot["id"], "payload_kg": 1500, **frame}
    )
    assert truck.json()["frame_length_mm"] == 1219.2
    assert office.post(at("skills/"), {"code": "core", "name": "Coring"}).status_code == 201
    shift = {"weekday": 0, "starts_at": "07:00", "ends_at": "15:00"}
    crew = office.post(
        at("crews/"),
        {"name": "Fir", "depot": depot["id"], "truck": truck.json()["id"], "shifts": [shift]},
    )
    assert crew.status_code == 201, crew.content
    where = f"crews/{crew.json()['id']}/"
    week = office.put(at(f"{where}shifts/"), [shift, shift | {"weekday": 1}]).json()
    assert len(week["shifts"]) == 2
    off = {"crew": crew.json()["id"], "first_on": "2030-01-01", "last_on": "2030-01-02"}
    made = office.post(at("days-off/"), off)
    assert office.delete(at(f"days-off/{made.json()['id']}/")).status_code == 204
    backwards = office.post(at("days-off/"), off | {"last_on": "2029-01-01"})
    assert [each["pointer"] for each in backwards.json()["errors"]] == ["/last_on"]


def test_people_come_change_and_choose_their_own_password(office) -> None:
    rows.crew()
    Skill.objects.create(created_at=rows.NOW, code="install", name="Installing")
    sent = {"name": "Ash Lead", "email": "ash@example.test", "role": "crew lead"}
    made = office.post(at("people/"), sent | {"skills": ["install"], "crew": str(rows.crew().pk)})
    assert made.status_code == 201, made.content
    assert "password" not in made.json()
    where = f"people/{made.json()['id']}/"
    assert office.patch(at(where), {"phone": "555 0101"}).json()["phone"] == "555 0101"
    themselves = api(Person.objects.get(email="ash@example.test"))
    assert themselves.put(at(f"{where}password/"), {"password": "short"}).status_code == 400
    sent = {"password": "a long walk by the quarry"}
    assert themselves.put(at(f"{where}password/"), sent).status_code == 204
    dispatcher = f"people/{rows.dispatcher().pk}/password/"
    assert themselves.put(at(dispatcher), sent).status_code == 403
    taken = office.post(
        at("people/"), {"name": "B", "email": "ASH@example.test", "role": "read-only"}
    )
    assert [each["pointer"] for each in taken.json()["errors"]] == ["/email"]


def test_a_dead_message_is_found_and_tried_anew(office) -> None:
    dead = OutboxMessage.objects.create(
        created_at=rows.NOW, kind="visit booked", channel="email", dedupe_key="1",
        due_at=rows.NOW, status="dead",
    )  # fmt: skip
    [found] = office.get(at("outbox/"), {"status": "dead"}).json()["results"]
    assert office.post(at(f"outbox/{found['id']}/retry/")).json()["status"] == "waiting"
    assert office.get(at("outbox/"), {"status": "dead"}).json()["results"] == []
    assert office.post(at(f"outbox/{dead.pk}/give-up/")).json()["status"] == "dead"
    assert office.get(at("log/"), {"verb": "outbox.retry"}).json()["results"][0]["by_name"]


HEADER = "number,customer,street,town,lat,lon,piece,length,depth,thickness\n"


def test_a_file_of_orders_is_tried_then_booked_all_or_none(office) -> None:
    def send(text: str, **fields):
        file = SimpleUploadedFile("orders.csv", text.encode(), "text/csv")
        return office.post(at("jobs/import/"), {"file": file, **fields}, format="multipart")

    good = HEADER + "9001,Mara Linden,12 Harbor Lane,Alder Bay,44.95,-91.85,A,96 in,25 in,30 mm\n"
    tried = send(good, is_dry_run=True).json()
    assert (tried["orders"], tried["booked"], tried["problems"]) == (1, [], [])
    assert not Job.objects.exists()
    wrong = send(good + "9002,,12 Harbor Lane,Alder Bay,95,-91.85,A,long,25 in,30 mm\n")
    pointers = {each["pointer"] for each in wrong.json()["errors"]}
    assert {"/rows/3/customer", "/rows/3/lat", "/rows/3/length"} <= pointers
    assert not Job.objects.exists()
    assert [job["number"] for job in send(good).json()["booked"]] == ["9001"]
