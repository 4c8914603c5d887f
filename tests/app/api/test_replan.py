"""Planning the rest of a running day through the API."""

import datetime as dt

import pytest

from crewjobs.models import Customer, Visit
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import crew_of

pytestmark = pytest.mark.django_db


def test_a_day_is_planned_again_from_now() -> None:
    rows.shop()
    office = api(rows.dispatcher())
    gone = {"gone": [{"crew": str(rows.crew().pk), "since": "2026-06-02T09:00:00-06:00"}]}
    answer = office.post(at("plans/replan/"), gone)
    assert answer.status_code == 201, answer.content
    plan = answer.json()
    assert (plan["status"], plan["figures"]["moves"]) == ("draft", 0)
    again = office.post(at(f"plans/{plan['id']}/publish/"))
    assert again.json()["status"] == "published"


@pytest.mark.parametrize("crew_has_people", [True, False])
def test_the_answer_says_whom_to_call(crew_has_people) -> None:
    rows.shop()
    if crew_has_people:
        crew_of(3)
    soon = dt.datetime.now(dt.UTC).replace(minute=0, second=0, microsecond=0) + dt.timedelta(days=1)
    rows.placement(starts_at=soon, ends_at=soon + dt.timedelta(hours=4))
    Visit.objects.update(customer_confirmed_at=rows.NOW, hands=9, hands_are_set=True)
    Customer.objects.update(phone="+1 555 0100")
    answer = api(rows.dispatcher()).post(at("plans/replan/"), {"most_moved": 3})
    assert answer.status_code == 201, answer.content
    plan = answer.json()
    (call,) = plan["calls"]
    assert (call["knows"], call["name"], call["phone"]) == (
        "accepted", "Mara Linden", "+1 555 0100",
    )  # fmt: skip
    assert call["after"] is None
    assert plan["figures"]["choices"][0]["dropped"] == 1
    assert plan["figures"]["not_placed"] == 1


def test_an_unknown_crew_is_refused() -> None:
    rows.shop()
    unknown = {"without_truck": [str(rows.dispatcher().pk)]}
    answer = api(rows.dispatcher()).post(at("plans/replan/"), unknown)
    assert answer.status_code == 400, answer.content
    assert api(rows.lead()).post(at("plans/replan/"), {}).status_code == 403
