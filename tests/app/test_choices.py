"""Where a visit of a draft could go: each day or why not, what would make room, and the form."""

import datetime as dt

import pytest

from crewjobs.actions import choices, plans
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.models import Crew, Plan, Role, Visit
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import FEW, FRIDAY, NOW, TUESDAY, crew_of, draft
from tests.app.test_plans import ready as ready_visits
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db
ready = ready_visits


def on_call(days_ahead: int = 7) -> Plan:
    """A draft of days that are still to come for a request that reads the clock."""
    first_on = dt.datetime.now(dt.UTC).date() + dt.timedelta(days=days_ahead)
    return plans.draft(
        first_on=first_on,
        last_on=first_on + dt.timedelta(days=3),
        by=rows.dispatcher(),
        now=dt.datetime.now(dt.UTC),
        stop=FEW,
    )


def test_each_day_says_what_it_adds_or_all_that_speaks_against_it(ready):
    crew_of(2, "Crew Birch")
    plan = draft()
    found = choices.choices(plan_id=plan.pk, visit_id=ready[0].pk, by=rows.dispatcher())
    by_crew = {
        name: [c for c in found if c.crew_name == name] for name in ("Crew Ash", "Crew Birch")
    }
    assert all(each.extra_cost is not None and not each.reasons for each in by_crew["Crew Ash"])
    assert {each.day for each in by_crew["Crew Ash"]} == {
        TUESDAY + dt.timedelta(n) for n in range(4)
    }
    assert all(each.extra_cost is None for each in by_crew["Crew Birch"])
    assert "3" in by_crew["Crew Birch"][0].reasons[0]


def test_what_a_choice_says_is_what_moving_there_costs(ready):
    plan = draft()
    before = plan.figures["cost"]["total"]
    found = choices.choices(plan_id=plan.pk, visit_id=ready[0].pk, by=rows.dispatcher())
    now_at = plan.planned.get(visit=ready[0])
    here = next(c for c in found if c.day == now_at.starts_at.date())
    there = next(c for c in found if c.day == FRIDAY)
    assert there.extra_cost is not None
    assert here.extra_cost is not None
    crew = Crew.objects.get(pk=there.crew)
    moved = plans.move(
        plan_id=plan.pk, visit_id=ready[0].pk, crew_id=crew.pk, starts_at=there.starts_at,
        by=rows.dispatcher(), now=NOW,
    )  # fmt: skip
    assert moved.figures["cost"]["total"] - before == there.extra_cost - here.extra_cost


def test_what_would_make_room_makes_room(ready):
    Visit.objects.filter(pk=ready[0].pk).update(hands=4, hands_are_set=True)
    plan = draft()
    first = choices.ways(plan_id=plan.pk, visit_id=ready[0].pk, by=rows.dispatcher())[0]
    assert len(first.changes) == 1
    assert "4" in first.changes[0]
    rows.person(Role.CREW_MEMBER, "One more", crew=Crew.objects.get(name="Crew Ash")).skills.set(
        Crew.objects.get(name="Crew Ash").members.all()[0].skills.all()
    )
    found = choices.choices(plan_id=plan.pk, visit_id=ready[0].pk, by=rows.dispatcher())
    assert any(not each.reasons for each in found)


def test_only_the_office_asks_and_only_of_its_drafts(ready):
    plan = draft()
    asked = {"plan_id": plan.pk, "visit_id": ready[0].pk}
    with pytest.raises(NotAllowedError):
        choices.choices(**asked, by=rows.lead())
    with pytest.raises(InvalidError):
        choices.ways(plan_id=plan.pk, visit_id=rows.uuid(7), by=rows.dispatcher())
    plans.discard(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)
    with pytest.raises(ConflictError):
        choices.choices(**asked, by=rows.dispatcher())


def test_the_api_and_the_page_say_the_same_and_put_it_there(ready):
    plan, visit = on_call(), ready[0]
    office = api(rows.dispatcher())
    where = f"plans/{plan.pk}/visits/{visit.pk}/"
    told = office.get(at(f"{where}choices/")).json()
    assert office.get(at(f"{where}ways/")).status_code == 200
    open_day = next(each for each in told if not each["reasons"])
    moving = {"crew": open_day["crew"], "day": open_day["day"]}
    assert office.post(at(f"{where}movers/"), moving).json()["has_room"] is True
    assert office.post(at(f"{where}movers/"), moving | {"day": "2031-01-01"}).status_code == 400
    browser = signed_in(rows.dispatcher())
    page = read(browser, f"/{where}")
    is_well_made(page)
    assert "Where it may go" in page.text
    refused = browser.post(
        f"/{where}put/", {"crew": open_day["crew"], "day": "2031-01-01", "start": "09:00"}
    )
    assert refused.status_code == 409
    assert "This was not done" in refused.content.decode()
    taken_out = browser.post(f"/{where}put/", {"crew": "", "day": "", "start": ""})
    assert taken_out["Location"] == f"/plans/{plan.pk}/"
    assert not plan.planned.filter(visit=visit).exists()
    assert signed_in(rows.lead()).get(f"/{where}").status_code == 403
