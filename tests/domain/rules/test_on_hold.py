from crewjobs.domain.facts import HoldReason
from crewjobs.domain.rules import on_hold
from tests import make


def test_every_reason_is_given() -> None:
    holds = (HoldReason.PAYMENT_DUE, HoldReason.SITE_NOT_READY)
    found = list(on_hold.check(make.job(record=make.record(holds=holds))))
    assert [f.message for f in found] == [
        "the job is on hold: payment due",
        "the job is on hold: site not ready",
    ]


def test_a_job_that_nothing_holds_passes() -> None:
    assert not list(on_hold.check(make.job()))
