from crewjobs.domain.facts import Piece, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import drawn_outline
from tests import make

WRONG = make.job(work=Work(pieces=(make.piece(cutouts=(make.sink(x_mm=100),)),)))


def test_a_cutout_outside_the_stone_is_stopped_at_its_point() -> None:
    (found,) = drawn_outline.check(WRONG)
    assert (found.severity, found.about) == (Severity.STOP, "A")
    assert "outside the outline at (-280, 115)" in found.message


def test_a_bow_tie_is_stopped() -> None:
    bow = Piece(name="A", outline_mm=((0, 0), (900, 500), (900, 0), (0, 600)), thickness_mm=30)
    (found,) = drawn_outline.check(make.job(work=Work(pieces=(bow,))))
    assert "crosses itself" in found.message
