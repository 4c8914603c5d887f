from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import open_items
from tests import make


def test_an_open_item_stops_unless_it_is_accepted() -> None:
    record = make.record(open_items=("chip", "dust"), accepted_items=frozenset({"dust"}))
    found = list(open_items.check(make.job(record=record)))
    assert [f.severity for f in found] == [Severity.STOP, Severity.NOTE]
    assert found[1].message == "still open, and accepted so: dust"
