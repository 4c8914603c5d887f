import pytest

from crewjobs.domain.facts import ReportKind
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import seams_not_bonded
from tests import make


def findings(*reports):
    return list(seams_not_bonded.check(make.job(record=make.record(reports=reports))))


def test_a_seam_that_nobody_reported_is_a_warning() -> None:
    (finding,) = findings(make.report(ReportKind.LEFT))
    assert (finding.about, finding.severity) == ("A-B", Severity.WARN)


@pytest.mark.parametrize("kind", [ReportKind.SEAM_POURED, ReportKind.SEAM_HARD])
def test_a_seam_that_is_poured_or_hard_passes(kind) -> None:
    assert not findings(make.report(kind, "A-B"))


def test_without_any_report_there_is_nothing_to_miss() -> None:
    assert not findings()
