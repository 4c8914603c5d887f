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
    while first_on.weekday() > 3:  # so that the crew works on the first of them
        first_on += dt.timedelta(days=1)
    return plans.draft(
        first_on=first_on,
        last_on=first_on + dt.timedelta(days=3),
        by=rows.dispatcher(),
        now=dt.datetime.now(dt.UTC),
        stop=FEW,
    )


def asked(plan, visit):
    return {"plan_id": plan.pk, "visit_id": visit.pk, "by": rows.dispatcher()}


def one_more_hand() -> None:
    crew = Crew.objects.get(name="Crew Ash")
    rows.person(Role.CREW_MEMBER, "One more", crew=crew).skills.set(
        crew.members.all()[0].skills.all()
    )


def test_each_day_says_what_it_adds_or_every_rule_with_its_numbers(ready):
    crew_of(2, "Crew Birch")
    found = choices.cells(**asked(draft(), ready[0]))
    ash = [cell for cell in found if cell.crew_name == "Crew Ash"]
    birch = [cell for cell in found if cell.crew_name == "Crew Birch"]
    assert all(cell.is_allowed and cell.extra_cost is not None for cell in ash)
    assert {cell.day for cell in ash} == {TUESDAY + dt.timedelta(n) for n in range(4)}
    assert all(cell.extra_cost is None for cell in birch)
    assert birch[0].reasons == (
        {
            "code": "too_few_hands",
            "message": "the visit needs 3 hands, Crew Birch has 2 on Tue 2 Jun",
            "needs": 3,
            "has": 2,
        },
    )
    assert birch[0].in_short == "needs 3 hands, has 2"


def test_what_a_cell_says_is_what_moving_there_costs(ready):
    plan = draft()
    before = plan.figures["cost"]["total"]
    found = choices.cells(**asked(plan, ready[0]))
    now_at = plan.planned.get(visit=ready[0])
    here = next(c for c in found if c.day == now_at.starts_at.date())
    there = next(c for c in found if c.day == FRIDAY)
    assert there.extra_cost is not None
    assert here.extra_cost is not None
    moved = plans.move(
        **asked(plan, ready[0]), crew_id=there.crew, starts_at=there.starts_at, now=NOW
    )
    assert moved.figures["cost"]["total"] - before == there.extra_cost - here.extra_cost


def test_the_cheapest_way_is_said_as_a_thing_to_do_and_does_it(ready):
    Visit.objects.filter(pk=ready[0].pk).update(hands=4, hands_are_set=True)
    plan = draft()
    first = choices.ways(**asked(plan, ready[0]))[0]
    (change,) = first.changes
    assert change.message.startswith("1 more hand with Crew Ash on ")
    assert (change.code, change.fields) == ("too_few_hands", {"hands": 4})
    at_once = choices.cheapest_ways(plan_id=plan.pk, visits=[ready[0].pk], by=rows.dispatcher())
    assert at_once == {ready[0].pk: first}
    one_more_hand()
    cell = next(cell for cell in choices.cells(**asked(plan, ready[0])) if cell.day == first.day)
    assert cell.extra_cost == first.extra_cost


def test_only_the_office_asks_and_only_of_its_drafts(ready):
    plan = draft()
    with pytest.raises(NotAllowedError):
        choices.cells(plan_id=plan.pk, visit_id=ready[0].pk, by=rows.lead())
    with pytest.raises(InvalidError):
        choices.ways(plan_id=plan.pk, visit_id=rows.uuid(7), by=rows.dispatcher())
    plans.discard(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)
    with pytest.raises(ConflictError):
        choices.cells(**asked(plan, ready[0]))


def test_the_api_tells_cells_remedies_and_room(ready):
    Visit.objects.filter(pk=ready[1].pk).update(hands=4, hands_are_set=True)
    plan, office = on_call(), api(rows.dispatcher())
    where = f"plans/{plan.pk}/visits/{ready[0].pk}/"
    cells = office.get(at(f"{where}cells/")).json()
    cell = next(each for each in cells if each["is_allowed"])
    room = office.get(at(f"{where}room/?crew={cell['crew']}&day={cell['day']}"))
    assert room.json() == {"has_room": True, "extra_cost": cell["extra_cost"], "moves": []}
    for query in ("", "?crew=1", f"?crew={cell['crew']}&day=2031-01-01"):
        assert office.get(at(f"{where}room/{query}")).status_code == 400
    lacking = office.get(at(f"plans/{plan.pk}/visits/{ready[1].pk}/remedies/")).json()
    assert lacking[0]["changes"][0]["fields_needed"] == {"hands": 4}
    reasons = office.get(at(f"plans/{plan.pk}/visits/{ready[1].pk}/cells/")).json()[0]["reasons"]
    assert (reasons[0]["code"], reasons[0]["needs"], reasons[0]["has"]) == ("too_few_hands", 4, 3)
    assert api(rows.lead()).get(at(f"{where}cells/")).status_code == 403


def test_the_page_has_each_crews_days_and_a_form_that_moves(ready):
    plan, visit = on_call(), ready[0]
    where = f"/plans/{plan.pk}/visits/{visit.pk}/"
    browser = signed_in(rows.dispatcher())
    page = read(browser, where)
    is_well_made(page)
    assert "goes at" in page.text
    goes = next(a["href"] for a in page.all("a") if a["href"].startswith("?crew="))
    filled = read(browser, f"{where}{goes.removesuffix('#put')}")
    values = {each["name"]: each.get("value") for each in filled.all("input") if "name" in each}
    assert values["start"]
    answer = browser.post(
        f"{where}put/",
        {"crew": Crew.objects.get().pk, "day": values["day"], "start": values["start"]},
    )
    assert answer["Location"] == f"/plans/{plan.pk}/"
    planned = plan.planned.get(visit=visit).starts_at
    assert planned.date().isoformat() == values["day"]
    assert signed_in(rows.lead()).get(where).status_code == 403


def test_the_form_shows_every_reason_of_a_refusal_and_takes_out(ready):
    Visit.objects.filter(pk=ready[0].pk).update(hands=4, hands_are_set=True)
    Visit.objects.filter(pk=ready[0].pk).update(latest_on=dt.date(2026, 1, 1))
    plan = on_call()
    browser = signed_in(rows.dispatcher())
    crew = Crew.objects.get()
    wish = {"crew": crew.pk, "day": plan.first_on.isoformat(), "start": "09:00"}
    refused = browser.post(f"/plans/{plan.pk}/visits/{ready[0].pk}/put/", wish)
    said = refused.content.decode()
    assert refused.status_code == 409
    assert "This was not done" in said
    assert "needs 4 hands" in said
    assert "is too late" in said
    out = {"crew": "", "day": "", "start": ""}
    browser.post(f"/plans/{plan.pk}/visits/{ready[1].pk}/put/", out)
    codes = {each.visit_id: each.reasons[0]["code"] for each in plan.unplaced.all()}
    assert codes[ready[1].pk] == "taken_out"
    assert codes[ready[0].pk] in {"too_few_hands", "after_last_day"}
