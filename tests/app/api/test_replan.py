"""Planning the rest of a running day through the API."""

import pytest

from tests import rows
from tests.app.api.asking import api, at

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


def test_an_unknown_crew_is_refused() -> None:
    rows.shop()
    unknown = {"without_truck": [str(rows.dispatcher().pk)]}
    answer = api(rows.dispatcher()).post(at("plans/replan/"), unknown)
    assert answer.status_code == 400, answer.content
    assert api(rows.lead()).post(at("plans/replan/"), {}).status_code == 403
