import pytest

from crewjobs.domain.facts import Record, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import Answer, Form
from crewjobs.domain.rules import bad_answers, cabinets_level
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


@pytest.mark.parametrize(("off_mm", "is_kept"), [(3.0, True), (4.0, False)])
def test_what_was_answered_on_site_is_judged_once(off_mm, is_kept) -> None:
    answer = Answer(
        form=Form.WALK_THROUGH, code="off_level", answered_at=make.START, measured_mm=off_mm
    )
    work = Work(cabinet_run_mm=2000, off_level_mm=9.0)
    job = make.job(work=work, record=Record(answers=(answer,)))
    assert list(cabinets_level.check(job)) == []
    level = [each for each in bad_answers.check(job) if "level" in each.message]
    assert (not level) is is_kept
