from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_drawers_come_out_and_go_back_by_the_metre():
    assert spans(items("drawers")) == [0.5 * 4.5, 0.5 * 4.5]


def test_they_come_out_before_leveling_and_go_back_when_the_stone_lies():
    out, back = items("drawers")
    assert out.reaches in items("level")[0].after
    assert Goal(Milestone.SET) in back.after


def test_no_run_no_drawers():
    assert items("drawers", make.work(cabinet_run_mm=0)) == []
