from crewjobs.domain.facts import Work
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans


def test_a_piece_is_cut_and_fitted_again():
    cut, refit = items("field_cut", Work(pieces=(make.piece("A", needs_field_cut=True),)))
    assert spans((cut, refit)) == [18, 5]
    assert cut.reaches in refit.after
    assert refit.reaches == Goal(Milestone.FITTED, "A")


def test_pieces_that_fit_are_left_alone():
    assert items("field_cut") == []
