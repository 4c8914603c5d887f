from crewjobs.domain.rules import remake_open
from tests import make


def test_each_such_piece_is_named() -> None:
    record = make.record(remakes=frozenset({"B", "A"}))
    assert [f.about for f in remake_open.check(make.job(record=record))] == ["A", "B"]


def test_a_job_without_one_passes() -> None:
    assert not list(remake_open.check(make.job()))
