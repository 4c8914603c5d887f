from crewjobs.domain.facts import ReportKind
from crewjobs.domain.rules import pieces_not_set
from tests import make


def test_the_piece_that_is_left_is_named() -> None:
    record = make.record(reports=(make.report(ReportKind.PIECE_SET, "A"),))
    assert [f.about for f in pieces_not_set.check(make.job(record=record))] == ["B"]


def test_all_pieces_set_pass() -> None:
    reports = tuple(make.report(ReportKind.PIECE_SET, name) for name in "AB")
    assert not list(pieces_not_set.check(make.job(record=make.record(reports=reports))))
