from crewjobs.domain.rules import cancelled
from tests import make


def test_a_cancelled_job_is_stopped() -> None:
    assert list(cancelled.check(make.job(record=make.record(is_cancelled=True))))


def test_a_job_that_goes_on_passes() -> None:
    assert not list(cancelled.check(make.job()))
