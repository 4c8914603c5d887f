"""Large plans: made in parts by any number of workers, stopped at any time, the same each time."""

import datetime as dt

import pytest
from django.utils import timezone

from crewjobs.actions import errands, large_plans, outbox, plans
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.domain.facts import Stage
from crewjobs.models import (
    AuditEntry,
    Inspection,
    Making,
    OutboxMessage,
    Piece,
    Plan,
    PlanPart,
    PlanStatus,
    Role,
    Visit,
)
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import crew_of
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db
NOW = rows.NOW
TUESDAY = dt.date(2026, 6, 2)
FRIDAY = dt.date(2026, 6, 5)
CREWS = ("Ash", "Birch", "Cedar")
JOBS = 7


@pytest.fixture(autouse=True)
def shop():
    """Three crews of three, and seven ready, inspected jobs around."""
    rows.shop()
    for name in CREWS:
        crew_of(3, f"Crew {name}")
    for number in range(JOBS):
        job = rows.job(f"10{number}", stage=Stage.READY)
        job.site.lat += number / 50
        job.site.save()
        rows.visit(job, hands=3)
    for piece in Piece.objects.all():
        Inspection.objects.create(created_at=NOW, piece=piece, by=rows.dispatcher(), passed=True)


def begin() -> Plan:
    return large_plans.begin(
        first_on=TUESDAY, last_on=FRIDAY, by=rows.dispatcher(), now=NOW, seed=1, most_crew_days=4
    )


def work(limit: int = 100) -> int:
    return outbox.work(now=lambda: NOW, limit=limit)


def places(plan: Plan) -> set[tuple[str, str, dt.datetime]]:
    rows_of = plan.planned.select_related("visit__job", "crew")
    return {(each.visit.job.number, each.crew.name, each.starts_at) for each in rows_of}


def test_a_plan_in_parts_becomes_a_draft_that_can_be_published():
    plan = begin()
    assert plan.status == PlanStatus.IN_THE_MAKING
    assert plan.figures == {"turn": 0, "turns": 3, "parts_done": 0, "parts": 3}
    assert work() == 3 * (1 + large_plans.TURNS)
    plan.refresh_from_db()
    assert plan.status == PlanStatus.DRAFT
    assert {visit for visit, _, _ in places(plan)} == {f"10{n}" for n in range(JOBS)}
    assert not Making.objects.exists()
    plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)
    assert AuditEntry.objects.filter(verb="plan.publish").count() == 1


def test_who_plans_which_part_when_does_not_matter():
    in_order = begin()
    work()
    backwards = begin()
    while parts := list(PlanPart.objects.filter(schedule="").order_by("-number")):
        for part in parts:
            found = large_plans.compute({"part": str(part.pk)})
            large_plans.note(found=found, now=NOW)
            assert "before" in large_plans.note(found=found, now=NOW)
    assert places(backwards) == places(in_order)


def test_it_may_be_stopped_at_any_time_with_the_best_so_far():
    plan = begin()
    work(limit=1)
    plan.refresh_from_db()
    assert plan.figures["parts_done"] == 1
    part = PlanPart.objects.filter(schedule="")[0]
    late = large_plans.compute({"part": str(part.pk)})
    large_plans.stop(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)
    plan.refresh_from_db()
    assert plan.status == PlanStatus.DRAFT
    assert len(places(plan)) == JOBS
    assert "stopped" in large_plans.note(found=late, now=NOW)
    work()
    assert {message.status for message in OutboxMessage.objects.filter(kind="plan part")} == {
        "sent"
    }
    with pytest.raises(ConflictError, match="is draft"):
        large_plans.stop(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)


def test_rows_that_change_meanwhile_are_planned_as_they_are():
    plan = begin()
    work(limit=3)
    gone, longer = Visit.objects.order_by("pk")[:2]
    Visit.objects.filter(pk=gone.pk).update(cancelled_at=NOW)
    Visit.objects.filter(pk=longer.pk).update(p50_min=400, p80_min=420, p90_min=430)
    work()
    assert gone.job.number not in {number for number, _, _ in places(plan)}
    plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=NOW)


def test_only_who_may_plan_begins_and_stops_and_past_days_are_refused():
    reader = rows.person(Role.READER)
    days = {"first_on": TUESDAY, "last_on": FRIDAY, "now": NOW}
    with pytest.raises(NotAllowedError):
        large_plans.begin(by=reader, **days)
    with pytest.raises(NotAllowedError):
        large_plans.stop(plan_id=begin().pk, by=reader, now=NOW)
    with pytest.raises(InvalidError):
        large_plans.begin(by=rows.dispatcher(), **days | {"first_on": NOW.date()})


def test_the_api_makes_large_plans_in_parts(monkeypatch):
    monkeypatch.setattr(large_plans, "LARGE_CREW_DAYS", 3)
    office = api(rows.dispatcher())
    first_on = timezone.localdate() + dt.timedelta(days=7)
    days = {"first_on": first_on, "last_on": first_on + dt.timedelta(days=3)}
    plan = office.post(at("plans/"), days).json()
    assert plan["status"] == "in the making"
    assert plan["figures"]["parts"] == 1
    assert office.post(at(f"plans/{plan['id']}/stop/")).json()["status"] == "draft"
    assert office.post(at(f"plans/{plan['id']}/stop/")).status_code == 409
    assert errands.DO["plan part"].compute is large_plans.compute


def test_the_page_shows_how_far_it_is_and_takes_it_as_it_is(monkeypatch):
    monkeypatch.setattr(large_plans, "LARGE_CREW_DAYS", 3)
    office = signed_in(rows.dispatcher())
    first_on = timezone.localdate() + dt.timedelta(days=7)
    answer = office.post("/week/draft/", {"first_on": first_on, "days": 4})
    plan = Plan.objects.get(status=PlanStatus.IN_THE_MAKING)
    assert answer["Location"] == f"/plans/{plan.pk}/making/"
    watched = read(office, answer["Location"])
    is_well_made(watched)
    assert "0 of 1" in watched.text
    assert f"Plan {plan.version} is in the making" in read(office, "/week/").text
    assert {"http-equiv": "refresh", "content": "5"} in watched.all("meta")
    assert office.post(f"/plans/{plan.pk}/stop/")["Location"] == f"/plans/{plan.pk}/"
    assert office.get(f"/plans/{plan.pk}/making/")["Location"] == f"/plans/{plan.pk}/"
    assert signed_in(rows.lead()).post(f"/plans/{plan.pk}/stop/").status_code == 403
