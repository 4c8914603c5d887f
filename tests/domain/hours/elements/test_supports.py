from crewjobs.domain.facts import Support, SupportKind
from crewjobs.domain.hours.steps import Extra, Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items


def test_only_missing_supports_are_fitted_and_all_are_checked_again():
    rail = Support(piece="A", kind=SupportKind.RAIL, is_in_place=True)
    bracket = Support(piece="A", kind=SupportKind.BRACKET)
    recheck, fit = items("supports", make.work(supports=(rail, bracket, bracket)))
    assert recheck == Extra(goal=Goal(Milestone.SET, "A"), normal_min=0.5 * 3)
    assert fit.normal_min == 9 * 2


def test_pieces_on_cabinets_alone_need_no_supports():
    assert items("supports") == []
