from crewjobs.domain.facts import Work
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_long_pieces_take_longer_to_shim():
    assert spans(items("place")) == [6 + 2 * 2.44, 6 + 2 * 1.9]


def test_a_run_is_fitted_from_one_end_to_the_other():
    first, second = items("place")
    assert Goal(Milestone.SET, "A") in second.after
    assert Goal(Milestone.SET, "B") not in first.after


def test_setting_takes_two_even_when_one_can_carry():
    assert [step.hands for step in items("place", Work(pieces=(make.piece("A", 600),)))] == [2]
