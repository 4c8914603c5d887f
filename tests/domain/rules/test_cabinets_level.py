import pytest

from crewjobs.domain.facts import Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import cabinets_level
from crewjobs.domain.units import MM_PER_INCH
from tests import make


def findings(off_in, run_in):
    off = None if off_in is None else off_in * MM_PER_INCH
    work = Work(cabinet_run_mm=run_in * MM_PER_INCH, off_level_mm=off)
    return list(cabinets_level.check(make.job(work=work)))


@pytest.mark.parametrize(
    ("off_in", "run_in", "is_kept"),
    [(1 / 8, 80, True), (1 / 8, 120, True), (0.13, 120, False), (1 / 4, 200, True)],
)
def test_an_eighth_for_each_started_ten_feet(off_in, run_in, is_kept) -> None:
    """The flat reading: a run of 80 in may be 1/8 in off; in proportion it would be 0.083."""
    assert (not findings(off_in, run_in)) is is_kept


def test_not_measured_is_a_note_where_there_are_cabinets() -> None:
    (found,) = findings(None, 100)
    assert found.severity is Severity.NOTE
    assert findings(None, 0) == []
