"""Visits of several days and of two crews, from the rows to a published plan and back."""

import datetime as dt

import pytest

from crewjobs.actions import plans
from crewjobs.domain import scheduling
from crewjobs.domain.facts import Stage
from crewjobs.models import Placement, Skill, Visit, VisitWindow
from crewjobs.snapshots import week
from tests import rows
from tests.app.api.asking import api, at
from tests.app.test_plans import FEW, NOW, TUESDAY, crew_of, publish

pytestmark = pytest.mark.django_db
MONDAY = dt.date(2026, 6, 8)


def draft(first_on=TUESDAY, last_on=MONDAY, now=NOW):
    return plans.draft(first_on=first_on, last_on=last_on, by=rows.dispatcher(), now=now, stop=FEW)


@pytest.fixture
def two_crews():
    rows.shop()
    return [crew_of(3), crew_of(3, "Crew Elm")]


def job(number: str = "1001", **fields):
    return rows.job(number, stage=Stage.READY, **fields)


@pytest.fixture
def long(two_crews):
    """An install of two days."""
    assert two_crews
    return rows.visit(job(), hands=3, p50_min=720, p80_min=760, p90_min=800)


def test_a_long_visit_has_a_row_with_its_days(long) -> None:
    planned = draft().planned.get()
    first, second = planned.parts
    assert planned.starts_at.isoformat() == first["starts_at"]
    assert planned.ends_at.isoformat() == second["ends_at"]
    days = [dt.datetime.fromisoformat(part["starts_at"]).date() for part in planned.parts]
    assert days[1] - days[0] == dt.timedelta(days=1)
    assert planned.visit == long


@pytest.mark.usefixtures("long")
def test_the_days_of_a_crew_go_over_the_weekend() -> None:
    friday = dt.date(2026, 6, 5)
    parts = draft(first_on=friday).planned.get().parts
    assert [part["starts_at"][:10] for part in parts] == ["2026-06-05", "2026-06-08"]


@pytest.mark.usefixtures("long")
def test_what_was_published_over_two_days_stays_there() -> None:
    publish(draft())
    placement = Placement.objects.get()
    assert len(placement.parts) == 2
    promised = [visit.promise for visit in week(TUESDAY, MONDAY).problem.visits]
    assert all(promised)
    again = draft().planned.get()
    assert (again.starts_at, again.ends_at) == (placement.starts_at, placement.ends_at)
    assert again.parts == placement.parts


@pytest.mark.usefixtures("long")
def test_a_visit_that_goes_on_after_these_days_stays_and_keeps_its_crew(two_crews) -> None:
    thursday, friday = dt.date(2026, 6, 4), dt.date(2026, 6, 5)
    publish(draft(first_on=friday))
    placement = Placement.objects.get()
    assert [part["starts_at"][:10] for part in placement.parts] == ["2026-06-05", "2026-06-08"]
    later = rows.visit(job("1002"), hands=3)
    for first_on, last_on in ((thursday, friday), (MONDAY, MONDAY)):
        plan = draft(first_on=first_on, last_on=last_on)
        assert [each.visit for each in plan.planned.all()] == [later]
        assert not plan.unplaced.exists()
        free = {
            each.day: each.shift_start_min
            for each in week(first_on, last_on).problem.crew_days
            if each.crew == str(placement.crew_id)
        }
        assert free.get(thursday, 480) == 480
        assert free.get(friday, 900) > 14 * 60
        assert free.get(MONDAY, 900) > 14 * 60
    assert len(two_crews) == 2


@pytest.mark.usefixtures("two_crews")
def test_what_a_long_visit_leaves_of_its_last_day_is_planned() -> None:
    long = rows.visit(job(), hands=3, p50_min=560, p80_min=560, p90_min=600)
    parts = [
        {"starts_at": rows.at(2, 13.5).isoformat(), "ends_at": rows.at(2, 21.5).isoformat(),
         "drive_min": 12},
        {"starts_at": rows.at(3, 13.5).isoformat(), "ends_at": rows.at(3, 15.5).isoformat(),
         "drive_min": 12},
    ]  # fmt: skip
    placed = rows.placement(long, starts_at=rows.at(2, 13.5), ends_at=rows.at(3, 15.5), parts=parts)
    wednesday = dt.date(2026, 6, 3)
    problem = week(wednesday, wednesday).problem
    (left,) = (each for each in problem.crew_days if each.crew == str(placed.crew_id))
    drive = int(
        problem.travel.minutes([left.depot, scheduling.Place(at_lat=44.95, at_lon=-91.85)])[1, 0]
    )
    assert (left.shift_start_min, left.shift_end_min) == (630 + drive, 17 * 60)
    early = {"starts_at": rows.at(3, 20).isoformat(), "ends_at": rows.at(3, 22).isoformat()}
    placed.parts = [parts[0], parts[1] | early]
    placed.save()
    problem = week(wednesday, wednesday).problem
    (left,) = (each for each in problem.crew_days if each.crew == str(placed.crew_id))
    assert (left.shift_start_min, left.shift_end_min) == (480, 15 * 60 - drive)


def test_a_long_visit_is_moved_by_hand_as_a_whole(long, two_crews) -> None:
    plan = draft()
    at = dt.datetime(2026, 6, 4, 14, tzinfo=dt.UTC)
    plans.move(
        plan_id=plan.pk, visit_id=long.pk, crew_id=two_crews[1].pk, starts_at=at,
        by=rows.dispatcher(), now=NOW,
    )  # fmt: skip
    planned = plan.planned.get()
    assert planned.crew == two_crews[1]
    assert [part["starts_at"][:10] for part in planned.parts] == ["2026-06-04", "2026-06-05"]


def test_a_visit_too_long_for_these_days_is_named_once(long) -> None:
    plan = draft(last_on=TUESDAY)
    assert plan.unplaced.get().visit == long
    assert plan.figures["unplaced"] == 1
    assert plan.figures["placed"] == 0


def test_later_days_keep_to_the_site_and_not_to_the_customers_window(long) -> None:
    VisitWindow.objects.create(
        created_at=NOW, visit=long, on=dt.date(2026, 6, 3), starts_at=dt.time(8),
        ends_at=dt.time(12),
    )  # fmt: skip
    parts = draft().planned.get().parts
    assert [part["starts_at"][:10] for part in parts] == ["2026-06-03", "2026-06-04"]


def test_two_crews_begin_together(two_crews) -> None:
    heavy = rows.visit(job(), hands=3)
    rows.visit(heavy.job, kind="return", hands=2, assists=heavy, p50_min=30, p80_min=40)
    planned = list(draft().planned.all())
    assert {each.crew for each in planned} == set(two_crews)
    assert planned[0].starts_at == planned[1].starts_at
    helpers = [each for each in week(TUESDAY, MONDAY).problem.visits if each.assists]
    assert [(each.assists, each.mass_kg) for each in helpers] == [(str(heavy.pk), 0)]


@pytest.mark.usefixtures("two_crews")
def test_who_lends_a_hand_waits_for_the_one_that_is_helped() -> None:
    heavy = rows.visit(rows.job(stage=Stage.IN_FABRICATION), hands=3)
    hand = rows.visit(job("1002"), kind="return", assists=heavy)
    codes = {each.visit: each.reasons[0]["code"] for each in draft().unplaced.all()}
    assert codes == {heavy: "no_ready_date", hand: "waits_for"}


def test_a_visit_comes_after_another_and_not_later_than_its_last_day(two_crews) -> None:
    first = rows.visit(job(), earliest_on=dt.date(2026, 6, 4))
    back = rows.visit(first.job, kind="return", comes_after=first, after_days=1)
    days = {each.visit: each.starts_at.date() for each in draft().planned.all()}
    assert days[back] > days[first]
    Visit.objects.filter(pk=back.pk).update(latest_on=dt.date(2026, 6, 4))
    assert draft().unplaced.get().visit == back
    assert two_crews


@pytest.mark.usefixtures("two_crews")
def test_a_visit_comes_after_one_whose_place_is_before_these_days() -> None:
    first = rows.visit(job())
    back = rows.visit(first.job, kind="return", comes_after=first, after_days=4)
    rows.placement(first)
    plan = draft(first_on=dt.date(2026, 6, 4))
    assert plan.planned.get().visit == back
    assert plan.planned.get().starts_at.date() == dt.date(2026, 6, 8)


@pytest.mark.usefixtures("two_crews")
def test_a_visit_without_the_one_before_it_says_so() -> None:
    first = rows.visit(rows.job(stage=Stage.IN_FABRICATION))
    back = rows.visit(job("1002"), kind="return", comes_after=first)
    codes = {each.visit: each.reasons[0]["code"] for each in draft().unplaced.all()}
    assert codes[back] == "waits_for"


def test_an_install_follows_its_template_where_the_shop_knows_its_lead(two_crews) -> None:
    rows.shop()
    template, _ = Skill.objects.get_or_create(
        code="template", defaults={"created_at": NOW, "name": "Templating"}
    )
    booked = rows.job(stage=Stage.BOOKED)
    measure = rows.visit(booked, kind="template", p50_min=60, p80_min=70, p90_min=80)
    install = rows.visit(booked, hands=3)
    assert {each.visit for each in draft().unplaced.all()} == {install}
    set_shop(capacity_m2=20, lead_days=2)
    days = {each.visit: each.starts_at.date() for each in draft().planned.all()}
    assert days[install] - days[measure] >= dt.timedelta(days=4)
    assert template
    assert two_crews


def set_shop(**fields) -> None:
    shop = rows.shop()
    for name, value in fields.items():
        setattr(shop, name, value)
    shop.save()


def ready_days(jobs) -> list[dt.date | None]:
    found = {each.id: each.ready_on for each in week(dt.date(2026, 6, 3), MONDAY).problem.visits}
    return [found[str(each.visits.get(kind="install").pk)] for each in jobs]


def test_stone_is_ready_by_what_the_shop_can_make(two_crews) -> None:
    """A job has two tops, 2.4 by 0.65 and 1.9 by 0.65 less a sink: about two and a half m2."""
    jobs = [rows.job(number, stage=Stage.IN_FABRICATION) for number in ("1001", "1002")]
    for each, finished in zip(jobs, (1, 2), strict=True):
        rows.visit(
            each,
            kind="template",
            started_at=rows.at(finished, 14),
            finished_at=rows.at(finished, 15),
        )
        rows.visit(each, hands=3)
    set_shop(capacity_m2=3, lead_days=1)
    assert ready_days(jobs) == [dt.date(2026, 6, 3), dt.date(2026, 6, 4)]
    jobs[0].stone_ready_on = dt.date(2026, 6, 5)
    jobs[0].save()
    assert ready_days(jobs) == [dt.date(2026, 6, 5), dt.date(2026, 6, 3)]
    assert two_crews


def test_territories_are_beginnings_of_postal_codes(two_crews) -> None:
    ash, elm = two_crews
    ash.areas, elm.areas = ["547"], ["548", "54"]
    ash.save()
    elm.save()
    rows.visit(job(site=rows.site(postal_code="54701")))
    problem = week(TUESDAY, MONDAY).problem
    assert problem.visits[0].areas == {"547", "54"}
    assert {each.areas for each in problem.crew_days} == {
        frozenset({"547"}),
        frozenset({"548", "54"}),
    }


@pytest.mark.usefixtures("two_crews")
def test_who_knows_of_a_place_is_told_to_the_planner() -> None:
    visit = rows.visit(job())
    rows.placement(visit)

    def promised():
        return week(TUESDAY, MONDAY).problem.visits[0].promised

    assert promised() is scheduling.Promised.TOLD
    visit.job.customer.takes_email = False
    visit.job.customer.save()
    assert promised() is scheduling.Promised.PUBLISHED
    Visit.objects.update(customer_confirmed_at=NOW)
    assert promised() is scheduling.Promised.ACCEPTED


@pytest.mark.usefixtures("two_crews")
def test_the_shops_traffic_and_fairness_reach_the_planner() -> None:
    assert week(TUESDAY, MONDAY).problem.traffic.is_even
    set_shop(traffic=[[0, 100], [420, 60], [540, 100]], uneven_cost=9_000)
    problem = week(TUESDAY, MONDAY).problem
    assert problem.traffic.percent(480) == 60
    assert problem.costs.uneven == 9_000


@pytest.mark.usefixtures("long")
def test_the_days_of_a_plan_are_shown() -> None:
    plan = draft()
    (shown,) = api(rows.dispatcher()).get(at(f"plans/{plan.pk}/")).json()["planned"]
    assert shown["parts"] == plan.planned.get().parts
