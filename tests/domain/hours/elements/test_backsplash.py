from crewjobs.domain.facts import PieceKind, Work
from crewjobs.domain.hours.steps import Goal, Milestone
from tests import make
from tests.domain.hours.one_element import items, spans

STRIP = make.piece("S", 2000, 100, thickness_mm=20, kind=PieceKind.BACKSPLASH)


def test_a_backsplash_is_fixed_by_its_length():
    assert spans(items("backsplash", Work(pieces=(STRIP,)))) == [5 + 4.5 * 2]


def test_it_stands_on_hard_seams():
    (step,) = items("backsplash", Work(pieces=(STRIP,)))
    assert Goal(Milestone.HARD) in step.after
