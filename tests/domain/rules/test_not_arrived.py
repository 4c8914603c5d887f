import pytest

from crewjobs.domain.facts import ReportKind
from crewjobs.domain.rules import not_arrived
from tests import make


@pytest.mark.parametrize("kind", [ReportKind.ON_THE_WAY, ReportKind.PHOTO, ReportKind.PROBLEM])
def test_what_may_be_said_from_the_road_proves_nothing(kind) -> None:
    record = make.record(reports=(make.report(kind),))
    assert list(not_arrived.check(make.job(record=record)))


@pytest.mark.parametrize("kind", [ReportKind.ARRIVED, ReportKind.PIECE_SET, ReportKind.LEFT])
def test_any_report_from_the_site_passes(kind) -> None:
    record = make.record(reports=(make.report(kind),))
    assert not list(not_arrived.check(make.job(record=record)))
