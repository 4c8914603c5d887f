"""The rest of a running day, planned again and published."""

import datetime as dt

import pytest

from crewjobs.actions import choices, plans, replans
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.domain.facts import Stage
from crewjobs.models import Inspection, Piece, Placement, Visit
from crewjobs.snapshots.running import Event
from tests import rows
from tests.app.test_plans import FRIDAY, NOW, TUESDAY, crew_of, draft, publish

pytestmark = pytest.mark.django_db
HOUR = dt.timedelta(hours=1)


@pytest.fixture
def begun():
    """Two published visits of one crew on Tuesday, and half an hour before the first of them."""
    rows.shop()
    crew_of(3)
    jobs = [rows.job(number, stage=Stage.READY) for number in ("1001", "1002")]
    for piece in Piece.objects.all():
        Inspection.objects.create(created_at=NOW, piece=piece, by=rows.dispatcher(), passed=True)
    for job in jobs:
        rows.visit(job, hands=3)
    publish(draft(TUESDAY, FRIDAY))
    return list(Placement.objects.order_by("starts_at").select_related("visit", "crew"))


def again(now, **more):
    return replans.from_now(by=rows.dispatcher(), now=now, **more)


def test_nothing_changed_means_that_nothing_moves(begun) -> None:
    first = begun[0]
    Visit.objects.filter(pk=first.visit_id).update(
        started_at=first.starts_at, live_finish_at=first.ends_at
    )
    plan = again(first.starts_at + HOUR / 2)
    assert plans.compare(plan) == []
    assert plan.figures["moves"] == 0


def test_a_crew_that_is_gone_hands_its_visits_over(begun) -> None:
    other = crew_of(3, "Crew Birch")
    now = begun[0].starts_at - 4 * HOUR
    plan = again(now, event=Event(gone={begun[0].crew_id: now}))
    today = {each.crew_id for each in plan.planned.all() if each.starts_at.date() == TUESDAY}
    assert today <= {other.pk}
    assert plan.planned.count() == 2
    plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=now + HOUR / 6)
    in_force = Placement.objects.filter(withdrawn_at__isnull=True)
    assert {place.starts_at for place in in_force} == {
        each.starts_at for each in plan.planned.all()
    }


def test_what_has_started_is_not_in_the_new_plan(begun) -> None:
    crew_of(3, "Crew Birch")
    first = begun[0]
    Visit.objects.filter(pk=first.visit_id).update(
        started_at=first.starts_at, live_finish_at=first.ends_at + 6 * HOUR
    )
    plan = again(first.starts_at + HOUR)
    assert not plan.planned.filter(visit=first.visit_id).exists()
    [change] = plans.compare(plan)
    assert change.visit.pk == begun[1].visit_id


def test_a_draft_of_a_running_day_grows_old(begun) -> None:
    now = begun[0].starts_at - 4 * HOUR
    plan = again(now)
    with pytest.raises(ConflictError, match="too old"):
        plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=now + HOUR)


def test_it_is_not_published_over_a_visit_that_began_meanwhile(begun) -> None:
    now = begun[0].starts_at - 4 * HOUR
    plan = again(now)
    Visit.objects.filter(pk=begun[0].visit_id).update(started_at=now)
    with pytest.raises(ConflictError, match="does not hold"):
        plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=now + HOUR / 6)


def by_hand(plan, visit_id, crew_id, starts_at, now):
    return plans.move(
        plan_id=plan.pk, visit_id=visit_id, crew_id=crew_id, starts_at=starts_at,
        by=rows.dispatcher(), now=now,
    )  # fmt: skip


def test_a_draft_of_a_running_day_is_changed_by_hand_and_published(begun) -> None:
    first, last = begun
    Visit.objects.filter(pk=first.visit_id).update(
        started_at=first.starts_at, live_finish_at=first.ends_at
    )
    now = first.starts_at + HOUR / 2
    plan = again(now)
    tomorrow = last.starts_at + 24 * HOUR
    changed = by_hand(plan, last.visit_id, last.crew_id, tomorrow, now)
    assert changed.planned.get().starts_at == tomorrow
    assert not changed.unplaced.exists()
    assert (changed.figures["from_at"], changed.figures["moves"]) == (now.isoformat(), 1)
    plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=now + HOUR / 6)
    in_force = Placement.objects.filter(withdrawn_at__isnull=True)
    assert in_force.get(visit=last.visit_id).starts_at == tomorrow
    assert in_force.get(visit=first.visit_id).starts_at == first.starts_at


def test_what_has_begun_or_is_past_cannot_be_chosen_by_hand(begun) -> None:
    first, last = begun
    Visit.objects.filter(pk=first.visit_id).update(
        started_at=first.starts_at, live_finish_at=first.ends_at
    )
    now = first.starts_at + HOUR / 2
    plan = again(now)
    with pytest.raises(InvalidError):
        by_hand(plan, first.visit_id, first.crew_id, last.starts_at, now)
    with pytest.raises(RefusedError):
        by_hand(plan, last.visit_id, last.crew_id, first.starts_at - HOUR, now)
    assert plan.planned.get().starts_at == last.starts_at


def test_a_draft_of_a_running_day_tells_its_cells_and_nothing_that_is_past(begun) -> None:
    last = begun[1]
    Visit.objects.filter(pk=last.visit_id).update(hands=4, hands_are_set=True)
    now = begun[0].starts_at + HOUR / 2
    Visit.objects.filter(pk=begun[0].visit_id).update(
        started_at=begun[0].starts_at, live_finish_at=begun[0].ends_at
    )
    plan = again(now)
    asked = {"plan_id": plan.pk, "visit_id": last.visit_id, "by": rows.dispatcher()}
    cells = choices.cells(**asked)
    assert min(cell.day for cell in cells) == TUESDAY
    assert {cell.reasons[0]["code"] for cell in cells} == {"too_few_hands"}
    found = choices.ways(**asked)
    assert found
    assert all(way.starts_at >= now for way in found)


@pytest.mark.usefixtures("begun")
def test_only_the_office_plans_again_and_only_known_crews_are_gone() -> None:
    with pytest.raises(NotAllowedError):
        replans.from_now(by=rows.lead(), now=NOW)
    with pytest.raises(InvalidError):
        again(NOW, event=Event(gone={rows.dispatcher().pk: NOW}))
