from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.hours.steps import Extra, Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items


def test_a_poured_seam_is_filled_up_as_it_is_bonded():
    seam = make.seam(method=SeamMethod.FLOW_GRADE)
    (extra,) = items("backfill", make.work(seams=(seam,)))
    assert extra == Extra(goal=Goal(Milestone.BONDED, "A-B"), normal_min=2 + 1.5 * 0.65)


def test_a_knife_grade_seam_is_filled_at_once():
    assert items("backfill") == []
