from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_cabinets_are_leveled_by_the_metre():
    assert spans(items("level")) == [3.5 * 4.5]


def test_old_tops_are_out_before_cabinets_are_leveled():
    (step,) = items("level")
    assert Goal(Milestone.CLEARED) in step.after


def test_no_run_no_leveling():
    assert items("level", make.work(cabinet_run_mm=0)) == []
