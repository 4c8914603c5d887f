"""The hours through the API: history, models, what if, working plan, accuracy, who is late."""

import datetime as dt
from itertools import pairwise

import pytest
from django.utils import timezone

from crewjobs.actions import learning
from crewjobs.models import HoursModel, Learned, Role, Visit
from tests import rows
from tests.app.api.asking import api, at
from tests.app.foretold import estimated, finished

pytestmark = pytest.mark.django_db

PEOPLE = {
    "the dispatcher": lambda: rows.dispatcher(),
    "the crew on the job": lambda: rows.lead(),
    "a crew that is not": lambda: rows.lead(rows.crew("Crew Birch")),
    "a reader": lambda: rows.person(Role.READER),
}


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


@pytest.fixture
def office():
    return api(rows.dispatcher())


def standard(client, name: str) -> dict:
    return next(s for s in client.get(at("standard-minutes/")).json() if s["name"] == name)


def test_a_standard_time_tells_who_changed_it_when(office) -> None:
    for minutes in ({"seam.bond_min": 20}, {"seam.bond_min": 25, "cure.seam_min": 9}, {}):
        assert office.put(at("standard-minutes/"), {"minutes": minutes}).status_code == 200
    found = standard(api(rows.lead()), "seam.bond_min")
    assert (found["value_min"], found["prior_min"]) == (9, 9)
    told = [(c["by"], c["before_min"], c["after_min"]) for c in found["history"]]
    assert told == [("Dana Office", 25, 9), ("Dana Office", 20, 25), ("Dana Office", 9, 20)]
    assert len(standard(office, "cure.seam_min")["history"]) == 2
    assert standard(office, "seam.pour_min")["history"] == []


def test_other_changes_of_the_shop_are_no_change_of_a_standard_time(office) -> None:
    office.patch(at("shop/"), {"speed_kmh": 40})
    assert standard(office, "seam.bond_min")["history"] == []


def test_every_model_is_there_with_all_that_it_learned(office) -> None:
    for number in range(12):
        finished(f"F{number}", 1.5)
    learning.refit(now=rows.NOW)
    [row] = office.get(at("hours/models/")).json()["results"]
    assert (row["version"], row["visits"], row["suspects"]) == (1, 12, [])
    whole = office.get(at(f"hours/models/{row['id']}/")).json()
    assert [lesson["title"] for lesson in whole["by_crew"]] == ["Crew Ash"]
    assert all(
        each["low_factor"] <= each["factor"] <= each["high_factor"] for each in whole["by_element"]
    )
    assert max(each["factor"] for each in whole["by_element"]) > 1.1
    assert len(whole["content"]["names"]) == 12


@pytest.mark.parametrize("who", PEOPLE)
def test_what_was_learned_of_all_crews_is_for_who_sees_all(who) -> None:
    client = api(PEOPLE[who]())
    sees = who in {"the dispatcher", "a reader"}
    for path in ("hours/models/", "hours/accuracy/"):
        assert client.get(at(path)).status_code == (200 if sees else 403)


@pytest.mark.parametrize("who", PEOPLE)
def test_only_the_office_judges_a_record(who) -> None:
    visit = finished("F1")
    answer = api(PEOPLE[who]()).post(at(f"visits/{visit.pk}/learned/"), {"learned": "excluded"})
    assert answer.status_code == (200 if who == "the dispatcher" else 403)
    visit.refresh_from_db()
    assert (visit.learned == Learned.EXCLUDED) == (who == "the dispatcher")


def test_an_unfinished_visit_has_no_hours_to_judge(office) -> None:
    path = at(f"visits/{estimated().pk}/learned/")
    assert office.post(path, {"learned": "confirmed"}).status_code == 409
    assert office.post(path, {"learned": "guessed"}).status_code == 400


SEEN = {"the dispatcher": 200, "the crew on the job": 200, "a crew that is not": 404,
        "a reader": 200}  # fmt: skip


@pytest.mark.parametrize("who", PEOPLE)
def test_a_working_plan_is_for_who_sees_the_visit(who) -> None:
    visit = estimated()
    answer = api(PEOPLE[who]()).get(at(f"visits/{visit.pk}/working-plan/"))
    assert answer.status_code == SEEN[who]
    assert (
        api(PEOPLE[who]()).get(at(f"visits/{visit.pk}/working-plan/shorter/")).status_code
        == (SEEN[who])
    )


def test_a_shorter_plan_ends_as_much_sooner_as_it_says(office) -> None:
    visit = estimated()
    plan = office.get(at(f"visits/{visit.pk}/working-plan/shorter/")).json()
    end_min = max(task["end_min"] for task in plan["tasks"])
    assert end_min + plan["saved_min"] == pytest.approx(visit.p50_min)
    assert plan["saved_min"] >= 0
    assert office.get(at(f"visits/{visit.pk}/working-plan/")).json()["saved_min"] == 0


def test_a_working_plan_ends_with_the_p50_and_nobody_is_in_two_places(office) -> None:
    visit = estimated()
    plan = office.get(at(f"visits/{visit.pk}/working-plan/")).json()
    assert max(task["end_min"] for task in plan["tasks"]) == pytest.approx(visit.p50_min)
    for person in range(1, plan["people"] + 1):
        spans = sorted(
            (t["start_min"], t["end_min"]) for t in plan["tasks"] if person in t["people"]
        )
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(spans))
    assert [each["seam"] for each in plan["batches"]] == ["A-B"]
    assert office.get(at(f"visits/{rows.uuid(7)}/working-plan/")).status_code == 404


@pytest.mark.parametrize("who", PEOPLE)
def test_what_if_is_for_who_sees_the_job(who) -> None:
    visit = estimated()
    answer = api(PEOPLE[who]()).post(at(f"jobs/{visit.job_id}/what-if/"), {})
    assert answer.status_code == SEEN[who]


def test_all_that_might_be_otherwise_comes_in_one_answer(office) -> None:
    visit = estimated(hands=2, hands_are_set=True)
    sent = {"temperatures_deg_c": [5, 35]}
    found = office.post(at(f"jobs/{visit.job_id}/what-if/"), sent).json()
    by_title = {each["title"]: each for each in found}
    assert list(by_title) == [
        "as planned", "3 people", "4 people", "at 5 °C", "at 35 °C", "seams done in the shop",
        "sinks set in the shop",
    ]  # fmt: skip
    planned = by_title["as planned"]
    assert planned["p50_min"] == pytest.approx(visit.p50_min)
    assert sum(each["minutes"] for each in planned["hours_lines"]) == pytest.approx(visit.p50_min)
    assert by_title["at 5 °C"]["p50_min"] >= by_title["at 35 °C"]["p50_min"]
    before = visit.version
    visit.refresh_from_db()
    assert visit.version == before


def test_what_if_speaks_of_a_visit_of_that_job_alone(office) -> None:
    visit, other = estimated(), estimated("1002")
    path = at(f"jobs/{visit.job_id}/what-if/")
    assert office.post(path, {"visit": str(visit.pk)}).status_code == 200
    assert office.post(path, {"visit": str(other.pk)}).status_code == 404
    assert office.post(path, {"temperatures_deg_c": [200]}).status_code == 400


def test_a_finished_visit_is_held_against_what_was_said_of_it_before(office) -> None:
    first, second = finished("F1", 1.0), finished("F2", 2.0)
    said = Visit.objects.get(pk=second.pk).p50_min
    learning.refit(now=rows.NOW)
    report = office.get(at("hours/accuracy/")).json()
    assert [each["number"] for each in report["visits"]] == ["F1", "F2"]
    assert report["visits"][1]["p50_min"] == pytest.approx(said)
    whole = report["rows"][0]
    assert (whole["by"], whole["visits"]) == ("all", 2)
    assert whole["error_share"] == pytest.approx(0.25)
    assert whole["kept90_share"] == pytest.approx(0.5)
    assert {row["by"] for row in report["rows"]} == {"all", "crew", "month"}
    learning.judge(visit_id=first.pk, learned=Learned.EXCLUDED, by=rows.dispatcher(), now=rows.NOW)
    assert office.get(at("hours/accuracy/")).json()["rows"][0]["visits"] == 1


def test_every_estimate_names_its_model(office) -> None:
    visit = estimated()
    finished("F1")
    learning.refit(now=rows.NOW)
    model = HoursModel.objects.get()
    assert office.get(at(f"visits/{visit.pk}/")).json()["hours_model"] == str(model.pk)


def running(late_min: float) -> Visit:
    """A visit of today that is expected to end so long after its published end, and one behind."""
    now = timezone.now()
    visit = rows.visit(
        rows.job("1001"),
        started_at=now - dt.timedelta(hours=1),
        live_finish_at=now + dt.timedelta(minutes=late_min),
        live_finish_p80_at=now + dt.timedelta(minutes=late_min + 20),
    )
    rows.placement(visit, starts_at=now - dt.timedelta(hours=1), ends_at=now)
    behind = rows.visit(rows.job("1002"))
    starts_at = now + dt.timedelta(minutes=10)
    rows.placement(
        behind, starts_at=starts_at, ends_at=starts_at + dt.timedelta(hours=3), drive_min=15
    )
    return visit


@pytest.mark.parametrize(("late_min", "word"), [(5, None), (15, "may be late"), (40, "late")])
def test_a_late_visit_names_whom_it_pushes_back(shop, late_min, word) -> None:
    shop.time_zone = f"Etc/GMT{timezone.now().hour - 12:+d}"  # there it is about noon
    shop.save()
    visit = running(late_min)
    found = api(rows.lead()).get(at("visits/late/")).json()
    assert [each["lateness"] for each in found] == ([word] if word else [])
    for each in found:
        assert each["visit"] == str(visit.pk)
        [pushed] = each["behind"]
        assert pushed["number"] == "1002"
        free_at = dt.datetime.fromisoformat(each["finish_p50_at"])
        assert dt.datetime.fromisoformat(pushed["expected_at"]) - free_at == dt.timedelta(
            minutes=15
        )
    assert api(rows.lead(rows.crew("Crew Birch"))).get(at("visits/late/")).json() == []
