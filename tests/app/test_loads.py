"""What a truck carries on a day, and that a plan whose truck cannot be loaded is stopped."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crewjobs import snapshots
from crewjobs.actions import loads, overrides, plans
from crewjobs.actions.errors import RefusedError
from crewjobs.domain.facts import Stage
from crewjobs.models import Plan, PlannedVisit, Remake, StatusReport, Truck
from tests import rows

pytestmark = pytest.mark.django_db
WEDNESDAY = dt.date(2026, 6, 3)


@pytest.fixture
def visit():
    rows.shop()
    return rows.visit(rows.job(stage=Stage.READY))


def planned(*visits, hour=14.0, day=3):
    plan = Plan.objects.create(
        created_at=rows.NOW, changed_at=rows.NOW, version=1, first_on=WEDNESDAY,
        last_on=dt.date(2026, 6, 5), made_by=rows.dispatcher(),
    )  # fmt: skip
    for number, each in enumerate(visits):
        PlannedVisit.objects.create(
            created_at=rows.NOW, plan=plan, visit=each, crew=rows.crew(),
            starts_at=rows.at(day, hour + 3 * number), ends_at=rows.at(day, hour + 3 * number + 2),
        )  # fmt: skip
    return plan


def is_set(visit, name, at):
    StatusReport.objects.create(
        created_at=at, happened_at=at, visit=visit, person=rows.lead(), kind="piece set",
        piece=visit.job.pieces.get(name=name),
    )  # fmt: skip


def on_truck(on=WEDNESDAY, plan=None):
    load = snapshots.load(rows.crew(), on, plan)
    return [(item.name, item.stop, item.order) for item in load.items]


def test_the_stone_of_a_day_comes_by_stop_in_the_order_of_setting(visit) -> None:
    later = rows.visit(rows.job("1002"))
    later.job.pieces.filter(name="A").update(position=5)
    template = rows.visit(rows.job("1003"), "template")
    rows.placement(later, starts_at=rows.at(3, 20), ends_at=rows.at(3, 21))
    rows.placement(template, starts_at=rows.at(3, 18), ends_at=rows.at(3, 19))
    rows.placement(visit)
    assert on_truck() == [("1001 A", 1, 0), ("1001 B", 1, 1), ("1002 B", 3, 0), ("1002 A", 3, 1)]
    assert on_truck(dt.date(2026, 6, 4)) == []


def test_what_stands_there_already_stays_off_and_what_is_made_again_comes(visit) -> None:
    rows.placement(visit)
    is_set(visit, "A", rows.at(2, 20))
    assert [name for name, _, _ in on_truck()] == ["1001 B"]
    is_set(visit, "B", rows.at(3, 16))
    assert [name for name, _, _ in on_truck()] == ["1001 B"], "set on the day, so it was loaded"
    Remake.objects.create(
        created_at=rows.at(2, 21), piece=visit.job.pieces.get(name="A"), reason="broken",
        ordered_by=rows.dispatcher(), ready_on="2026-06-03",
    )  # fmt: skip
    assert [name for name, _, _ in on_truck()] == ["1001 A", "1001 B"]


def test_a_return_visit_brings_its_own_piece_and_a_helping_one_nothing(visit) -> None:
    back = rows.visit(visit.job, "return")
    back.pieces.set(visit.job.pieces.filter(name="B"))
    rows.placement(back)
    helping = rows.visit(visit.job, assists=visit)
    rows.placement(helping, starts_at=rows.at(3, 19), ends_at=rows.at(3, 20))
    assert [name for name, _, _ in on_truck()] == ["1001 B"]


def test_a_piece_that_two_visits_ask_for_comes_once(visit) -> None:
    rows.placement(visit)
    rows.placement(rows.visit(visit.job), starts_at=rows.at(3, 19), ends_at=rows.at(3, 20))
    assert [stop for _, stop, _ in on_truck()] == [1, 1]


def test_a_plan_s_day_is_what_it_places_and_what_it_does_not_speak_of(visit) -> None:
    rows.placement(visit)
    other = rows.visit(rows.job("1002"))
    rows.placement(other, starts_at=rows.at(3, 20), ends_at=rows.at(3, 21))
    plan = planned(visit, hour=21)
    assert [name for name, _, _ in on_truck(plan=plan)] == ["1002 A", "1002 B", "1001 A", "1001 B"]
    assert [name for name, _, _ in on_truck()] == ["1001 A", "1001 B", "1002 A", "1002 B"]


def test_the_frame_is_the_truck_s_and_the_limits_are_the_shop_s() -> None:
    shop = rows.shop()
    frame = snapshots.load(rows.crew(), WEDNESDAY).frame
    assert frame
    assert (frame.payload_kg, frame.side_kg, frame.depth_mm, frame.pad_mm) == (1800, 900, 400, 12)
    Truck.objects.update(frame_side_kg=500)
    shop.limits = {"frame_pad_mm": 20, "rack_height_mm": 150}
    shop.save()
    crew = rows.crew()
    crew.refresh_from_db()
    frame = snapshots.load(crew, WEDNESDAY).frame
    assert frame
    assert (frame.side_kg, frame.pad_mm, frame.rack_height_mm) == (500, 20, 150)


def test_a_day_that_cannot_be_loaded_is_refused_until_somebody_answers(visit) -> None:
    """2,440 by 650 by 30 mm at 2,400 kg/m3, less the sink, and 1,900 by 650: 180 kg."""
    rows.crew()
    Truck.objects.update(payload_kg=150, frame_side_kg=200)
    plan = planned(visit)
    (found,) = loads.findings(plan, frozenset([visit.pk]))[visit.pk]
    assert found.code == "load_plan"
    assert (found.limit, found.unit) == (150, "kg")
    assert found.message == (
        f"the load of Crew Ash on 2026-06-03: the load {found.value:.0f} kg, the most is 150"
    )
    (stopped,) = overrides.stopped([visit], plan)
    with pytest.raises(RefusedError, match="the load of Crew Ash"):
        overrides.refuse_stopped([visit], plan)
    words = overrides.said(stopped.finding)
    overrides.answer(
        visit_id=visit.pk, said=words, reason="two trips", by=rows.dispatcher(), now=rows.NOW
    )
    overrides.refuse_stopped([visit], plan)


def test_publishing_a_plan_asks_for_its_loads(visit) -> None:
    rows.lead(), rows.lead(name="A second pair of hands")
    Truck.objects.update(frame_side_kg=50)
    visit.job.stone_ready_on = "2026-06-01"
    visit.job.save()
    plan = plans.draft(first_on=WEDNESDAY, last_on=WEDNESDAY, by=rows.dispatcher(), now=rows.NOW)
    assert plan.planned.count() == 1
    with pytest.raises(RefusedError, match="side bears"):
        plans.publish(plan_id=plan.pk, by=rows.dispatcher(), now=rows.NOW)


def test_a_crew_without_a_truck_brings_no_stone(visit) -> None:
    crew = rows.crew()
    crew.truck = None
    crew.save()
    plan = planned(visit)
    (found,) = loads.findings(plan, frozenset([visit.pk]))[visit.pk]
    assert "there is no truck for 1" in found.message


def test_a_day_that_only_measures_or_is_not_changed_is_no_matter(visit) -> None:
    rows.crew()
    Truck.objects.update(payload_kg=10)
    template = rows.visit(rows.job("1003"), "template")
    plan = planned(template, visit)
    assert loads.findings(plan, frozenset([template.pk])) == {}
    assert set(loads.findings(plan, frozenset([template.pk, visit.pk]))) == {visit.pk}


def test_the_loads_of_a_plan_take_as_many_queries_for_many_days(visit) -> None:
    plan = planned(visit)
    with CaptureQueriesContext(connection) as few:
        snapshots.loads(plan)
    for number in range(4):
        PlannedVisit.objects.create(
            created_at=rows.NOW, plan=plan, visit=rows.visit(rows.job(f"20{number}")),
            crew=rows.crew(f"Crew {number}"), starts_at=rows.at(4, 14), ends_at=rows.at(4, 15),
        )  # fmt: skip
    with CaptureQueriesContext(connection) as many:
        assert len(snapshots.loads(plan)) == 5
    assert len(many) == len(few)


def test_the_planner_counts_the_same_pads(visit) -> None:
    shop = rows.shop()
    shop.limits = {"frame_pad_mm": 25}
    shop.save()
    rows.lead()
    visit.job.stone_ready_on = dt.date(2026, 6, 1)
    visit.job.save()
    (asked,) = snapshots.week(WEDNESDAY, WEDNESDAY).problem.visits
    assert asked.load_thickness_mm == 2 * (30 + 25)
