from crewjobs.domain.rules import inspection_failed
from tests import make


def test_each_such_piece_is_named() -> None:
    record = make.record(rejected=frozenset({"B", "A"}))
    assert [f.about for f in inspection_failed.check(make.job(record=record))] == ["A", "B"]


def test_a_job_without_one_passes() -> None:
    assert not list(inspection_failed.check(make.job()))
