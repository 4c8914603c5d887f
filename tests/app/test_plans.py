"""Plans: drafted, moved by hand, compared, published, discarded."""

import datetime as dt

import pytest

from crewjobs.actions import plans, visits
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.domain import scheduling
from crewjobs.domain.facts import HoldReason, Stage
from crewjobs.models import (
    AuditEntry,
    DayOff,
    Hold,
    HoursKind,
    Inspection,
    Job,
    Person,
    Piece,
    Placement,
    Plan,
    PlanStatus,
    Role,
    SiteHours,
    Skill,
    Visit,
    VisitWindow,
)
from crewjobs.snapshots import week
from tests import rows
from tests.app.api.asking import api, at
from tests.app.web.pages import read, signed_in

pytestmark = pytest.mark.django_db
NOW = rows.NOW
TUESDAY = dt.date(2026, 6, 2)
FRIDAY = dt.date(2026, 6, 5)
FEW = scheduling.after_iterations(10)


def crew_of(hands: int, name: str = "Crew Ash"):
    crew = rows.crew(name)
    skill, _ = Skill.objects.get_or_create(
        code="install", defaults={"created_at": NOW, "name": "Installing"}
    )
    for number in range(hands):
        rows.person(Role.CREW_MEMBER, f"{name} {number}", crew=crew).skills.add(skill)
    return crew


@pytest.fixture
def ready():
    """A shop, a crew of three, and two ready, inspected jobs with an install visit each."""
    rows.shop()
    crew_of(3)
    jobs = [rows.job(number, stage=Stage.READY) for number in ("1001", "1002")]
    for piece in Piece.objects.all():
        Inspection.objects.create(created_at=NOW, piece=piece, by=rows.dispatcher(), passed=True)
    return [rows.visit(job, hands=3) for job in jobs]


def draft(first_on=TUESDAY, last_on=FRIDAY, now=NOW, by: Person | None = None) -> Plan:
    return plans.draft(
        first_on=first_on, last_on=last_on, by=by or rows.dispatcher(), now=now, stop=FEW
    )


def publish(plan: Plan, now=NOW) -> Plan:
    return plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=now)


def test_a_draft_places_what_is_ready_and_tells_nobody(ready) -> None:
    plan = draft()
    assert plan.status == PlanStatus.DRAFT
    assert {each.visit for each in plan.planned.all()} == set(ready)
    assert plan.figures["placed"] == 2
    assert not Placement.objects.exists()


@pytest.mark.usefixtures("ready")
def test_visits_lie_within_the_shift_of_the_crew() -> None:
    for each in draft().planned.all():
        local = each.starts_at.astimezone(week(TUESDAY, FRIDAY).zone)
        assert dt.time(8) <= local.time() < dt.time(17)
        assert local.date() >= TUESDAY


def test_what_cannot_be_planned_says_why(ready) -> None:
    Hold.objects.create(
        created_at=NOW, job=ready[0].job, reason=HoldReason.PAYMENT_DUE, placed_by=rows.dispatcher()
    )
    Job.objects.filter(pk=ready[1].job.pk).update(stage=Stage.IN_FABRICATION)
    codes = {each.visit_id: each.reasons[0]["code"] for each in draft().unplaced.all()}
    assert codes == {ready[0].pk: "on_hold", ready[1].pk: "no_ready_date"}


def test_what_has_no_place_is_counted_once_with_both_parts_named(ready) -> None:
    Hold.objects.create(
        created_at=NOW, job=ready[0].job, reason=HoldReason.PAYMENT_DUE, placed_by=rows.dispatcher()
    )
    Visit.objects.filter(pk=ready[1].pk).update(hands=4, hands_are_set=True)
    plan = draft()
    counts = {name: plan.figures[name] for name in ("unplaced", "not_placed", "not_asked")}
    assert counts == {"unplaced": 2, "not_placed": 1, "not_asked": 1}
    assert {each.visit_id: each.is_asked for each in plan.unplaced.all()} == {
        ready[0].pk: False,
        ready[1].pk: True,
    }
    answer = api(rows.dispatcher()).get(at(f"plans/{plan.pk}/")).json()
    assert {name: answer["figures"][name] for name in counts} == counts
    assert sorted(each["is_asked"] for each in answer["unplaced"]) == [False, True]
    for address in (f"/plans/{plan.pk}/", f"/week/?from={plan.first_on}"):
        page = read(signed_in(rows.dispatcher()), address)
        assert "Without a place: 2" in page.text
        assert "Asked of the planner and not placed: 1" in page.text
        assert "Not put to the planner: 1" in page.text
        assert "1 more hand with Crew Ash on" in page.text


def test_a_visit_that_wants_more_hands_is_left_out_with_the_numbers(ready) -> None:
    Visit.objects.filter(pk=ready[0].pk).update(hands=4)
    reason = draft().unplaced.get().reasons[0]
    assert (reason["code"], reason["needs"], reason["has"]) == ("too_few_hands", 4, 3)


@pytest.mark.usefixtures("ready")
def test_stone_that_is_not_ready_waits_for_its_day() -> None:
    Job.objects.update(stone_ready_on=FRIDAY)
    days = {each.starts_at.date() for each in draft().planned.all()}
    assert days == {FRIDAY}


def test_the_customers_window_and_the_buildings_hours_both_hold(ready) -> None:
    VisitWindow.objects.create(
        created_at=NOW, visit=ready[0], on=FRIDAY, starts_at=dt.time(8), ends_at=dt.time(13)
    )
    SiteHours.objects.create(
        created_at=NOW, site=ready[0].job.site, kind=HoursKind.BUILDING, weekday=4,
        starts_at=dt.time(11), ends_at=dt.time(16),
    )  # fmt: skip
    found = draft().planned.get(visit=ready[0])
    local = found.starts_at.astimezone(week(TUESDAY, FRIDAY).zone)
    assert local.date() == FRIDAY
    assert dt.time(11) <= local.time() <= dt.time(13)


def test_a_window_on_another_day_keeps_a_visit_out_of_these(ready) -> None:
    VisitWindow.objects.create(
        created_at=NOW, visit=ready[0], on=dt.date(2027, 1, 15), starts_at=dt.time(8),
        ends_at=dt.time(13),
    )  # fmt: skip
    SiteHours.objects.create(
        created_at=NOW, site=ready[1].job.site, kind=HoursKind.LIFT, on=dt.date(2026, 7, 16),
        starts_at=dt.time(9), ends_at=dt.time(12),
    )  # fmt: skip
    plan = draft()
    assert not plan.planned.exists()
    assert {each.reasons[0]["code"] for each in plan.unplaced.all()} == {"no_window"}


@pytest.mark.usefixtures("ready")
def test_nobody_works_on_a_day_off_and_a_missing_member_is_missed() -> None:
    DayOff.objects.create(
        created_at=NOW, crew=rows.crew(), first_on=TUESDAY, last_on=dt.date(2026, 6, 3)
    )
    DayOff.objects.create(
        created_at=NOW, person=rows.crew().members.first(), first_on=FRIDAY, last_on=FRIDAY
    )
    assert {each.starts_at.date() for each in draft().planned.all()} == {dt.date(2026, 6, 4)}


@pytest.mark.usefixtures("ready")
def test_publishing_makes_places_and_plans_the_jobs() -> None:
    publish(draft())
    assert Placement.objects.filter(withdrawn_at__isnull=True).count() == 2
    assert set(Job.objects.values_list("stage", flat=True)) == {Stage.PLANNED}
    assert set(Visit.objects.values_list("sequence", flat=True)) == {1}
    assert AuditEntry.objects.filter(verb="visit.publish").count() == 2


@pytest.mark.usefixtures("ready")
def test_a_plan_is_published_once() -> None:
    plan = publish(draft())
    with pytest.raises(ConflictError):
        publish(plan)


@pytest.mark.usefixtures("ready")
def test_a_plan_whose_first_day_has_come_is_not_published() -> None:
    plan = draft()
    with pytest.raises(ConflictError):
        publish(plan, now=NOW + dt.timedelta(days=1))


@pytest.mark.usefixtures("ready")
def test_nothing_changed_means_that_nothing_moves() -> None:
    publish(draft())
    again = draft()
    assert plans.compare(again) == []
    publish(again)
    assert set(Visit.objects.values_list("sequence", flat=True)) == {1}


@pytest.mark.usefixtures("ready")
def test_a_plan_that_no_longer_holds_is_refused_on_publishing() -> None:
    plan = draft()
    DayOff.objects.create(created_at=NOW, crew=rows.crew(), first_on=TUESDAY, last_on=FRIDAY)
    with pytest.raises(RefusedError):
        publish(plan)
    assert not Placement.objects.exists()


def move(plan: Plan, visit: Visit, crew, starts_at) -> Plan:
    return plans.move(
        plan_id=plan.pk,
        visit_id=visit.pk,
        crew_id=crew and crew.pk,
        starts_at=starts_at,
        by=rows.dispatcher(),
        now=NOW,
    )


def test_a_moved_visit_keeps_its_place_in_force_once(ready) -> None:
    publish(draft())
    other = crew_of(3, "Crew Birch")
    plan = move(draft(), ready[0], other, rows.at(4, 14))
    changed = plans.compare(plan)
    assert [each.visit for each in changed] == [ready[0]]
    publish(plan)
    ready[0].refresh_from_db()
    in_force = Placement.objects.get(visit=ready[0], withdrawn_at__isnull=True)
    old = Placement.objects.get(visit=ready[0], withdrawn_at__isnull=False)
    assert (in_force.crew, in_force.starts_at) == (other, rows.at(4, 14))
    assert old.crew == rows.crew()
    assert in_force.sequence == old.sequence == ready[0].sequence == 2


def test_a_visit_that_comes_back_uses_its_old_row(ready) -> None:
    publish(draft())
    first = Placement.objects.get(visit=ready[0])
    other = crew_of(3, "Crew Birch")
    publish(move(draft(), ready[0], other, rows.at(4, 14)))
    publish(move(draft(), ready[0], rows.crew(), first.starts_at))
    first.refresh_from_db()
    assert first.withdrawn_at is None
    assert first.sequence == 3


def test_a_move_that_cannot_be_gives_its_reasons_and_changes_nothing(ready) -> None:
    plan = draft()
    before = set(plan.planned.values_list("visit", "starts_at"))
    with pytest.raises(RefusedError) as refused:
        move(plan, ready[0], rows.crew(), rows.at(6, 14))
    assert refused.value.findings[0].code == "day_off"
    assert str(rows.crew().pk) not in str(refused.value)
    assert set(plan.planned.values_list("visit", "starts_at")) == before


def test_a_locked_visit_stays(ready) -> None:
    publish(draft())
    visits.lock(visit_id=ready[0].pk, is_locked=True, by=rows.dispatcher(), now=NOW)
    place = Placement.objects.get(visit=ready[0]).starts_at
    with pytest.raises(RefusedError):
        move(draft(), ready[0], rows.crew(), place + dt.timedelta(days=1))
    assert draft().planned.get(visit=ready[0]).starts_at == place


def test_a_visit_taken_out_is_withdrawn(ready) -> None:
    publish(draft())
    publish(move(draft(), ready[0], None, None))
    assert Visit.objects.get(pk=ready[0].pk).placement is None


@pytest.mark.usefixtures("ready")
def test_a_discarded_plan_is_not_published() -> None:
    plan = plans.discard(plan_id=draft().pk, by=rows.dispatcher(), now=NOW)
    with pytest.raises(ConflictError):
        publish(plan)


@pytest.mark.usefixtures("ready")
@pytest.mark.parametrize(
    ("first_on", "last_on"),
    [
        (dt.date(2026, 6, 1), FRIDAY),
        (FRIDAY, TUESDAY),
        (TUESDAY, TUESDAY + dt.timedelta(days=40)),
    ],
)
def test_days_that_cannot_be_planned_are_refused(first_on, last_on) -> None:
    with pytest.raises(InvalidError):
        draft(first_on, last_on)


@pytest.mark.usefixtures("ready")
def test_only_the_office_plans() -> None:
    with pytest.raises(NotAllowedError):
        draft(by=rows.lead())


@pytest.mark.usefixtures("ready")
def test_a_plan_reads_the_rows_in_as_many_queries_for_more_visits(
    django_assert_num_queries, django_assert_max_num_queries
) -> None:
    with django_assert_max_num_queries(30) as counted:
        week(TUESDAY, FRIDAY)
    for number in range(1003, 1010):
        rows.visit(rows.job(str(number), stage=Stage.READY), hands=2)
    with django_assert_num_queries(len(counted.captured_queries)):
        week(TUESDAY, FRIDAY)


@pytest.mark.parametrize(("minutes", "is_news"), [(1, False), (180, True)])
def test_a_customer_hears_of_another_hour_only(ready, minutes, is_news) -> None:
    publish(draft())
    plan = draft()
    planned = plan.planned.get(visit=ready[0])
    planned.starts_at += dt.timedelta(minutes=minutes)
    planned.ends_at += dt.timedelta(minutes=minutes)
    planned.save()
    (change,) = plans.compare(plan)
    assert change.is_news is is_news
    plan.planned.filter(visit=ready[0]).delete()
    plan.unplaced.create(created_at=NOW, visit=ready[0])
    (gone,) = plans.compare(plan)
    assert gone.is_news
