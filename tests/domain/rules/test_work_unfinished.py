import pytest

from crewjobs.domain.facts import ReportKind
from crewjobs.domain.rules import work_unfinished
from tests import make

SET = (
    make.report(ReportKind.PIECE_SET, "A", minute=60),
    make.report(ReportKind.PIECE_SET, "B", minute=90),
)


def findings(*reports):
    return list(work_unfinished.check(make.job(record=make.record(reports=reports))))


@pytest.mark.parametrize("kind", [ReportKind.REVIEWED, ReportKind.LEFT])
def test_a_review_or_leaving_after_the_last_piece_passes(kind) -> None:
    assert not findings(*SET, make.report(kind, minute=90))


def test_leaving_before_the_last_piece_does_not_count() -> None:
    assert findings(*SET, make.report(ReportKind.LEFT, minute=89))


def test_the_same_piece_reported_again_later_changes_nothing() -> None:
    again = make.report(ReportKind.PIECE_SET, "B", minute=200)
    assert not findings(again, make.report(ReportKind.LEFT, minute=100), *SET)


def test_no_report_ends_nothing() -> None:
    assert findings()
