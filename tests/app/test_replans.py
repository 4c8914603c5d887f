"""The rest of a running day, planned again and published."""

import datetime as dt

import pytest

from crewjobs.actions import plans, replans
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
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


@pytest.mark.usefixtures("begun")
def test_only_the_office_plans_again_and_only_known_crews_are_gone() -> None:
    with pytest.raises(NotAllowedError):
        replans.from_now(by=rows.lead(), now=NOW)
    with pytest.raises(InvalidError):
        again(NOW, event=Event(gone={rows.dispatcher().pk: NOW}))
