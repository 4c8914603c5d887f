from crewjobs.domain.facts import Work
from crewjobs.domain.hours.steps import Goal, Milestone
from tests.domain.hours.one_element import items, spans


def test_silicone_goes_by_the_length_of_the_stone():
    assert spans(items("finish")) == [18 + 1.5 * 4.34]


def test_it_comes_after_everything_and_even_without_stone():
    (step,) = items("finish", Work())
    assert (step.normal_min, step.after) == (18, (Goal(Milestone.ALL_WORK),))
