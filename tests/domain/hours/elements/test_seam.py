import pytest

from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_a_knife_grade_seam_is_bonded_then_scraped():
    bond, scrape = items("seam")
    assert spans((bond, scrape)) == [9 + 7 * 0.65, 7 + 6 * 0.65]
    assert scrape.after == (Goal(Milestone.HARD, "A-B"),)


def test_a_flow_grade_seam_is_poured_first():
    work = make.work(seams=(make.seam(method=SeamMethod.FLOW_GRADE),))
    pour, bond, _ = items("seam", work)
    assert spans((pour,)) == [4]
    assert pour.reaches == Goal(Milestone.POURED, "A-B")
    assert Goal(Milestone.GELLED, "A-B") in bond.after


@pytest.mark.parametrize("milestone", [Milestone.SET, Milestone.FITTED])
def test_every_piece_is_fitted_before_the_first_seam(milestone):
    assert Goal(milestone) in items("seam")[0].after
