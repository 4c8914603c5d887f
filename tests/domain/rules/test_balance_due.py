from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import balance_due
from tests import make


def test_a_balance_only_warns() -> None:
    (finding,) = balance_due.check(make.job(record=make.record(balance_cents=125_050)))
    assert finding.severity is Severity.WARN
    assert "1250.50" in finding.message


def test_a_paid_job_passes() -> None:
    assert not list(balance_due.check(make.job()))
