"""One step at a time, past every guard, with all reasons at once."""

from dataclasses import replace

import pytest

from crewjobs.domain import stages
from crewjobs.domain.facts import HoldReason, ReportKind, Stage
from tests import make

ALL = frozenset({"A", "B"})
DONE = (
    make.report(ReportKind.ARRIVED),
    make.report(ReportKind.PIECE_SET, "A", 60),
    make.report(ReportKind.PIECE_SET, "B", 90),
    make.report(ReportKind.SEAM_POURED, "A-B", 100),
    make.report(ReportKind.LEFT, minute=150),
)
WHOLE = make.record(
    is_templated=True, inspected=ALL, has_published_install=True, reports=DONE, is_signed=True
)


def job(stage: Stage, **record):
    return make.job(record=replace(WHOLE, stage=stage, **record))


@pytest.mark.parametrize("stage", list(Stage)[:-1])
def test_a_job_that_lacks_nothing_takes_each_step(stage) -> None:
    assert not stages.advance(job(stage), stage.following)


def test_all_reasons_come_at_once() -> None:
    held = make.record(
        stage=Stage.IN_FABRICATION,
        holds=(HoldReason.PAYMENT_DUE,),
        rejected=frozenset({"A"}),
        remakes=frozenset({"A"}),
    )
    found = stages.stops(stages.advance(make.job(record=held), Stage.READY))
    assert sorted(f.code for f in found) == [
        "inspection_failed", "not_inspected", "on_hold", "remake_open",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("stage", "entering", "message"),
    [
        (Stage.BOOKED, Stage.READY, "the job is booked: templated comes before ready"),
        (Stage.READY, Stage.READY, "the job is ready already"),
        (Stage.READY, Stage.BOOKED, "the job is ready: it does not go back to booked"),
    ],
)
def test_skipping_and_turning_back_are_refused(stage, entering, message) -> None:
    found = [f for f in stages.advance(job(stage), entering) if f.code == "stage_order"]
    assert [f.message for f in found] == [message]


def test_the_last_stage_has_no_next() -> None:
    assert Stage.SIGNED_OFF.following is None


def test_a_ready_job_follows_its_reports_to_the_end_of_the_work() -> None:
    assert stages.follow(job(Stage.READY), Stage.INSTALLED) == (Stage.INSTALLED, ())


def test_reports_do_not_do_what_somebody_must_say() -> None:
    stage, refused = stages.follow(job(Stage.IN_FABRICATION), Stage.ON_SITE)
    assert stage is Stage.IN_FABRICATION
    assert [f.message for f in refused] == [
        "the job is in fabrication: nobody has said that it is ready"
    ]


def test_a_job_goes_as_far_as_its_guards_let_it() -> None:
    stage, refused = stages.follow(job(Stage.PLANNED, reports=DONE[:2]), Stage.INSTALLED)
    assert stage is Stage.ON_SITE
    assert {f.code for f in refused} == {"pieces_not_set", "work_unfinished"}


def test_a_job_that_is_farther_stays() -> None:
    assert stages.follow(job(Stage.SIGNED_OFF), Stage.ON_SITE) == (Stage.SIGNED_OFF, ())


def test_a_hold_does_not_undo_that_the_crew_was_there() -> None:
    held = job(Stage.PLANNED, holds=(HoldReason.SITE_NOT_READY,))
    assert stages.follow(held, Stage.INSTALLED)[0] is Stage.INSTALLED


def test_a_cancelled_job_follows_nothing() -> None:
    stage, refused = stages.follow(job(Stage.PLANNED, is_cancelled=True), Stage.ON_SITE)
    assert (stage, refused[0].code) == (Stage.PLANNED, "cancelled")


def test_a_job_goes_back_only_as_far_as_its_reports_were_what_carried_it() -> None:
    whole, unset = job(Stage.INSTALLED), job(Stage.INSTALLED, reports=DONE[:2])
    nobody = job(Stage.INSTALLED, reports=())
    assert stages.back(whole, unset, Stage.ON_SITE) is Stage.ON_SITE
    assert stages.back(whole, nobody, Stage.BOOKED) is Stage.PLANNED
    assert stages.back(whole, whole, Stage.INSTALLED) is Stage.INSTALLED


@pytest.mark.parametrize("stage", [each for each in Stage if each not in stages.REPORTED])
def test_what_somebody_said_or_signed_stays(stage) -> None:
    nothing = make.job(record=make.record(stage=stage))
    assert stages.back(job(stage), nothing, Stage.BOOKED) is stage


def test_sizes_that_came_with_the_order_keep_a_job_templated() -> None:
    templated = job(Stage.TEMPLATED, reports=())
    assert stages.back(templated, templated, Stage.BOOKED) is Stage.TEMPLATED
    unmeasured = job(Stage.TEMPLATED, reports=(), is_templated=False)
    assert stages.back(templated, unmeasured, Stage.BOOKED) is Stage.BOOKED
