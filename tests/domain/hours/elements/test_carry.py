from crewjobs.domain.facts import PieceKind, Work
from tests import make
from tests.domain.hours.one_element import items, spans


def test_the_walk_is_slower_with_the_piece_than_back():
    work = make.work(pieces=(make.piece("A"),), seams=())
    assert spans(items("carry", work)) == [3 + 19 / 36 + 19 / 66]


def test_mass_decides_how_many_carry():
    light, heavy = make.piece("A", 1000), make.piece("B", 2440, 1000)
    assert [step.hands for step in items("carry", Work(pieces=(light, heavy)))] == [2, 4]


def test_no_more_than_four_carry():
    work = Work(pieces=(make.piece("A", 3200, 1600),))
    assert [step.hands for step in items("carry", work)] == [4]


def test_backsplashes_are_not_carried_one_by_one():
    strip = make.piece("S", 2000, 100, kind=PieceKind.BACKSPLASH)
    assert items("carry", Work(pieces=(strip,))) == []
