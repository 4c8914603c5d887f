"""Whom a draft makes somebody call, and which messages leave when it is published."""

import datetime as dt

import pytest

from crewjobs.actions import plans, telling
from crewjobs.actions.telling import Knows
from crewjobs.models import Customer, OutboxMessage, Plan, PlannedVisit, Visit
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import NOW, draft, publish
from tests.app.test_plans import ready as ready_visits
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db
ready = ready_visits
HOUR = dt.timedelta(hours=1)


@pytest.fixture
def later(ready) -> Plan:
    """Two visits published and told, and a draft that has both three hours later."""
    assert len(ready) == 2
    publish(draft())
    OutboxMessage.objects.update(attempts=1)
    Customer.objects.update(phone="+1 555 0100")
    plan = draft()
    for each in PlannedVisit.objects.filter(plan=plan):
        each.starts_at += 3 * HOUR
        each.ends_at += 3 * HOUR
        each.save()
    return plan


def first_of(plan: Plan) -> PlannedVisit:
    return plan.planned.order_by("starts_at")[0]


def test_who_was_told_another_hour_is_called_the_soonest_first(later) -> None:
    found = telling.calls(later, now=NOW)
    assert [call.knows for call in found] == [Knows.TOLD, Knows.TOLD]
    starts = [call.before.starts_at for call in found]
    assert starts == sorted(starts)
    first = found[0]
    assert (first.name, first.phone) == ("Mara Linden", "+1 555 0100")
    assert first.after is not None
    assert first.after.starts_at - first.before.starts_at == 3 * HOUR


def test_who_said_yes_is_named_apart_and_before_the_others(later) -> None:
    last = later.planned.order_by("starts_at")[1]
    Visit.objects.filter(pk=last.visit_id).update(customer_confirmed_at=NOW)
    found = telling.calls(later, now=NOW)
    assert [call.knows for call in found] == [Knows.ACCEPTED, Knows.TOLD]
    assert found[0].visit.pk == last.visit_id


def test_nobody_is_called_whose_message_has_not_left(later) -> None:
    OutboxMessage.objects.update(attempts=0)
    assert telling.calls(later, now=NOW) == []


def test_whom_no_message_reaches_is_called_last(later) -> None:
    OutboxMessage.objects.all().delete()
    Customer.objects.update(takes_email=False)
    assert {call.knows for call in telling.calls(later, now=NOW)} == {Knows.UNKNOWN}


@pytest.mark.usefixtures("ready")
def test_a_move_inside_the_hour_that_was_told_needs_no_call_and_no_message() -> None:
    publish(draft())
    OutboxMessage.objects.update(attempts=1)
    plan = draft()
    moved = first_of(plan)
    moved.ends_at += HOUR / 12
    moved.save()
    assert len(plans.compare(plan)) == 1
    assert telling.calls(plan, now=NOW) == []
    assert telling.to_leave(plan, now=NOW) == []


def test_who_loses_the_place_is_called_too(later) -> None:
    gone = first_of(later)
    later.unplaced.create(created_at=NOW, visit=gone.visit)
    gone.delete()
    found = {call.visit.pk: call.after for call in telling.calls(later, now=NOW)}
    assert found[gone.visit_id] is None


def written(now: dt.datetime) -> set[tuple[object, ...]]:
    fresh = OutboxMessage.objects.filter(created_at=now)
    return set(fresh.values_list("visit", "kind", "channel", "due_at"))


def foretold(plan: Plan, now: dt.datetime) -> set[tuple[object, ...]]:
    found = telling.to_leave(plan, now=now)
    assert [each.due_at for each in found] == sorted(each.due_at for each in found)
    return {(each.visit_id, each.kind, each.channel, each.due_at) for each in found}


@pytest.mark.usefixtures("ready")
def test_what_is_foretold_is_what_publishing_writes() -> None:
    plan = draft()
    expected, count = foretold(plan, NOW), OutboxMessage.objects.count()
    assert expected
    assert count == 0
    publish(plan)
    assert written(NOW) == expected


@pytest.mark.usefixtures("ready")
def test_what_is_foretold_of_moves_and_losses_is_what_publishing_writes() -> None:
    publish(draft())
    OutboxMessage.objects.update(attempts=1)
    plan, at_once = draft(), NOW + HOUR
    first, second = plan.planned.order_by("starts_at")
    wish = {"plan_id": plan.pk, "by": rows.dispatcher(), "now": at_once}
    plans.move(visit_id=first.visit_id, crew_id=None, starts_at=None, **wish)
    day_later = second.starts_at + 24 * HOUR
    plans.move(visit_id=second.visit_id, crew_id=second.crew_id, starts_at=day_later, **wish)
    expected = foretold(plan, at_once)
    assert {kind for _, kind, _, _ in expected} >= {"visit-moved", "visit-cancelled"}
    publish(plan, now=at_once)
    assert written(at_once) == expected


def test_the_api_and_the_page_name_them_before_publishing(later) -> None:
    visit = first_of(later).visit
    Visit.objects.filter(pk=visit.pk).update(customer_confirmed_at=NOW)
    Plan.objects.filter(pk=later.pk).update(first_on="2031-01-01", last_on="2031-01-02")
    office = api(rows.dispatcher())
    OutboxMessage.objects.update(attempts=1)
    PlannedVisit.objects.filter(plan=later).update(
        starts_at="2031-01-01T15:00Z", ends_at="2031-01-01T17:00Z"
    )
    in_2031 = dt.datetime(2030, 12, 31, 15, tzinfo=dt.UTC)
    for place in visit.placements.all():
        place.starts_at, place.ends_at = in_2031, in_2031 + HOUR
        place.save()
    (call,) = office.get(at(f"plans/{later.pk}/calls/")).json()
    assert (call["knows"], call["phone"]) == ("accepted", "+1 555 0100")
    assert call["before"]["earliest_at"] == "2030-12-31T15:00:00Z"
    assert call["after"]["earliest_at"] == "2031-01-01T15:00:00Z"
    messages = office.get(at(f"plans/{later.pk}/messages/")).json()
    assert {each["customer"] for each in messages} == {"Mara Linden"}
    page = read(signed_in(rows.dispatcher()), f"/plans/{later.pk}/")
    is_well_made(page)
    assert "They accepted another hour: 1" in page.text
    assert "+1 555 0100" in page.text
    assert f"{len(messages)} messages, in the order in which they leave" in page.text
    assert api(rows.lead()).get(at(f"plans/{later.pk}/calls/")).status_code == 403
