from crewjobs.domain.facts import CutoutKind, Work
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_an_undermount_sink_is_bonded_and_must_harden():
    (step,) = items("sink")
    assert step.normal_min == 20
    assert step.reaches == Goal(Milestone.SINK_HUNG, "A")


def test_a_drop_in_sink_is_quicker_and_waits_for_nothing():
    drop_in = make.sink(kind=CutoutKind.DROP_IN_SINK)
    steps = items("sink", Work(pieces=(make.piece("A", cutouts=(drop_in,)),)))
    assert spans(steps) == [9]
    assert steps[0].reaches == Goal(Milestone.SINK_IN, "A")


def test_the_hole_comes_before_the_sink():
    assert Goal(Milestone.OPENED, "A") in items("sink")[0].after


def test_a_sink_set_in_the_shop_costs_nothing_on_site():
    work = Work(pieces=(make.piece("A", cutouts=(make.sink(is_set_in_shop=True),)),))
    assert items("sink", work) == items("cure", work) == []
