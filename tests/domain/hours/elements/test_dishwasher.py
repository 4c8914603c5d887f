from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_a_dishwasher_is_fastened_once_the_tops_lie():
    steps = items("dishwasher", make.work(has_dishwasher=True))
    assert spans(steps) == [6]
    assert Goal(Milestone.SET) in steps[0].after


def test_no_dishwasher_nothing_to_fasten():
    assert items("dishwasher") == []
