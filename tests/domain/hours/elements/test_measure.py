from crewjobs.domain.facts import VisitKind, Work
from tests import make
from tests.domain.hours.one_element import items, spans


def test_runs_openings_and_the_way_in_are_measured():
    steps = items("measure", kind=VisitKind.TEMPLATE)
    assert spans(steps) == [15, 6 * 4.5, 5 * 1, 2 * 2, 15]


def test_stone_longer_than_its_cabinets_is_measured_too():
    steps = items("measure", make.work(cabinet_run_mm=0), kind=VisitKind.TEMPLATE)
    assert spans(steps[1:2]) == [6 * 4.34]


def test_a_visit_of_which_nothing_is_known_still_has_its_set_up_and_talk():
    assert spans(items("measure", Work(), kind=VisitKind.TEMPLATE)) == [15, 15]
