from crewjobs.domain.rules import not_inspected
from tests import make


def test_each_piece_that_nobody_looked_at_is_named() -> None:
    record = make.record(inspected=frozenset({"A"}))
    assert [f.about for f in not_inspected.check(make.job(record=record))] == ["B"]


def test_a_piece_that_failed_has_been_looked_at() -> None:
    record = make.record(inspected=frozenset({"A"}), rejected=frozenset({"B"}))
    assert not list(not_inspected.check(make.job(record=record)))
