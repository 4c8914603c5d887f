"""What the planner asks of visits, crews and the shop, through the API."""

import pytest

from crewjobs.models import AuditEntry, Crew, Shop, Visit
from tests import rows
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


def changed(office, visit, **fields):
    return office.patch(at(f"visits/{visit.pk}/"), fields)


def test_a_visit_comes_after_another_of_its_job_and_lends_a_hand(office) -> None:
    first = rows.visit()
    second = rows.visit(first.job, kind="return")
    answer = changed(
        office, second, comes_after=str(first.pk), after_days=3, latest_on="2026-06-30"
    ).json()
    assert (answer["comes_after"], answer["after_days"]) == (str(first.pk), 3)
    assert answer["latest_on"] == "2026-06-30"
    answer = changed(office, second, comes_after=None, assists=str(first.pk)).json()
    assert (answer["comes_after"], answer["assists"]) == (None, str(first.pk))
    assert AuditEntry.objects.filter(verb="visit.change").count() == 2


def test_links_that_cannot_be_planned_are_refused(office) -> None:
    first = rows.visit()
    second, third = (rows.visit(first.job, kind="return") for _ in range(2))
    stranger = rows.visit(rows.job("1002"))
    changed(office, second, comes_after=str(first.pk), assists=str(first.pk))
    refused: list[tuple[Visit, dict[str, object]]] = [
        (first, {"comes_after": str(stranger.pk)}),
        (first, {"assists": str(stranger.pk)}),
        (first, {"comes_after": str(first.pk)}),
        (first, {"comes_after": str(second.pk)}),
        (first, {"assists": str(second.pk)}),
        (third, {"assists": str(second.pk)}),
        (first, {"assists": str(third.pk)}),
        (first, {"after_days": 0}),
        (first, {"earliest_on": "2026-06-10", "latest_on": "2026-06-09"}),
    ]
    for visit, fields in refused:
        answer = changed(office, visit, **fields)
        assert answer.status_code in (400, 422), fields
        assert list(fields)[-1] in str(answer.json())


def test_the_days_of_a_long_visit_are_shown(office) -> None:
    days = [
        {"starts_at": rows.at(3, 14).isoformat(), "ends_at": rows.at(3, 22).isoformat(),
         "drive_min": 12.0},
        {"starts_at": rows.at(4, 14).isoformat(), "ends_at": rows.at(4, 18).isoformat(),
         "drive_min": 12.0},
    ]  # fmt: skip
    visit = rows.visit()
    rows.placement(visit, parts=days)
    shown = office.get(at(f"visits/{visit.pk}/")).json()["placement"]["parts"]
    assert [part["starts_at"][:10] for part in shown] == ["2026-06-03", "2026-06-04"]


def test_a_crew_has_a_territory(office) -> None:
    crew = rows.crew()
    answer = office.put(at(f"crews/{crew.pk}/areas/"), {"areas": ["547 ", "546", ""]})
    assert answer.status_code == 400
    answer = office.put(at(f"crews/{crew.pk}/areas/"), {"areas": ["547 ", "546", "547"]})
    assert answer.json()["areas"] == ["546", "547"]
    assert office.get(at("crews/")).json()[0]["areas"] == ["546", "547"]
    lead = api(rows.lead(crew))
    assert lead.put(at(f"crews/{crew.pk}/areas/"), {"areas": []}).status_code == 403
    assert Crew.objects.get().areas == ["546", "547"]


def test_the_shop_says_how_fast_roads_are_and_what_it_makes(office) -> None:
    fields = {
        "traffic": [[0, 100], [420, 60], [540, 100]],
        "capacity_m2": 24.5,
        "lead_days": 7,
        "uneven_cost": 9_000,
    }
    answer = office.patch(at("shop/"), fields)
    assert {name: answer.json()[name] for name in fields} == fields
    assert office.patch(at("shop/"), {"traffic": [], "capacity_m2": None}).status_code == 200
    assert Shop.objects.get().capacity_m2 is None


@pytest.mark.parametrize(
    "fields",
    [
        {"traffic": [[420, 60]]},
        {"traffic": [[0, 100], [540, 60], [420, 100]]},
        {"traffic": [[0, 0]]},
        {"traffic": [[0]]},
        {"traffic": [[0, 100], [1440, 60]]},
        {"traffic": "fast"},
        {"capacity_m2": 0},
        {"lead_days": -1},
        {"uneven_cost": 1.5},
    ],
)
def test_what_cannot_be_is_refused(office, fields) -> None:
    answer = office.patch(at("shop/"), fields)
    assert answer.status_code in (400, 422)
    assert next(iter(fields)) in str(answer.json())
