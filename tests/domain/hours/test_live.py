"""The finish of a running visit moves with its reports, and with silence."""

import datetime as dt

import pytest

from crewjobs.domain.facts import Report, ReportKind, SeamMethod, Team
from crewjobs.domain.hours import Model, estimate
from crewjobs.domain.hours.live import LiveFinish, finish
from crewjobs.domain.hours.steps import Visit
from tests import make

VISIT = Visit(work=make.work(), team=Team(hands=2))
HOURS = estimate(VISIT.kind, VISIT.work, VISIT.team)
ENDS = {task.name: task.end_min for task in HOURS.tasks}


def live(*reports: Report, minute: float, visit: Visit = VISIT) -> LiveFinish:
    now = make.START + dt.timedelta(minutes=minute)
    return finish(visit, reports=reports, starts_at=make.START, now=now, model=Model())


def minutes(at: dt.datetime) -> float:
    return (at - make.START) / dt.timedelta(minutes=1)


ARRIVED = make.report(ReportKind.ARRIVED, minute=0)


def test_before_anything_is_reported_it_is_the_estimate():
    found = live(minute=0)
    assert minutes(found.p50_at) == pytest.approx(HOURS.p50_min)
    assert len(found.left) == len(HOURS.tasks)


def test_a_visit_on_its_plan_ends_as_planned():
    at = ENDS["set B"]
    found = live(ARRIVED, make.report(ReportKind.PIECE_SET, "B", at), minute=at)
    assert minutes(found.p50_at) == pytest.approx(HOURS.p50_min, abs=3)
    assert "set A" not in {task.name for task in found.left}


def test_what_is_done_makes_the_rest_more_certain():
    at = ENDS["bond seam A-B"]
    early, late = (
        live(ARRIVED, minute=0),
        live(ARRIVED, make.report(ReportKind.SEAM_POURED, "A-B", at), minute=at),
    )
    assert late.p90_at - late.p50_at < early.p90_at - early.p50_at


def test_a_slow_morning_foretells_a_slow_afternoon():
    on_time, late = (
        live(ARRIVED, make.report(ReportKind.PIECE_SET, "B", at), minute=at)
        for at in (ENDS["set B"], 1.5 * ENDS["set B"])
    )
    rest = [(found.p50_at - found.since_at) for found in (on_time, late)]
    assert rest[1] > 1.1 * rest[0]


def test_silence_lengthens_the_visit():
    finishes = [minutes(live(ARRIVED, minute=minute).p50_at) for minute in (0, 60, 170, 300)]
    assert finishes == sorted(finishes)
    assert finishes[-1] > 300


def test_adhesive_hardens_while_nobody_reports():
    poured = make.report(ReportKind.SEAM_POURED, "A-B", 100)
    later = make.report(ReportKind.SINK_SET, "A", 130)
    hardens = [t for t in live(ARRIVED, poured, minute=100).left if t.name == "seam A-B hardens"]
    assert len(hardens) == 1
    left = {t.name: t.end_min - t.start_min for t in live(ARRIVED, poured, later, minute=130).left}
    assert left["seam A-B hardens"] == 0
    assert left["sink in A hardens"] > 0


def test_a_poured_seam_is_not_yet_bonded():
    work = make.work(seams=(make.seam(method=SeamMethod.FLOW_GRADE),))
    visit = Visit(work=work, team=Team(hands=2))
    poured = make.report(ReportKind.SEAM_POURED, "A-B", 100)
    names = {task.name for task in live(ARRIVED, poured, minute=100, visit=visit).left}
    assert "bond seam A-B" in names
    assert "pour seam A-B" not in names


def test_after_the_silicone_only_the_end_is_left():
    found = live(ARRIVED, make.report(ReportKind.SILICONE_DONE, minute=140), minute=140)
    assert [task.name for task in found.left] == ["silicone, clean, review"]


def test_a_visit_that_is_over_ends_when_it_did():
    found = live(ARRIVED, make.report(ReportKind.LEFT, minute=150), minute=400)
    assert minutes(found.p50_at) == minutes(found.p90_at) == 150
    assert found.left == ()


def test_the_order_in_which_reports_come_is_nothing():
    told = [ARRIVED, make.report(ReportKind.PIECE_SET, "A", 60)]
    assert live(*told, minute=70) == live(*reversed(told), minute=70)


@pytest.mark.parametrize("minute", [0, 50, 140, 400])
def test_half_of_the_visits_end_before_most_do(minute):
    found = live(ARRIVED, make.report(ReportKind.PIECE_SET, "A", 60), minute=minute)
    assert found.since_at <= found.p50_at <= found.p80_at <= found.p90_at
