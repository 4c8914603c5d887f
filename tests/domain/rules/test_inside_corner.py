import pytest

from crewjobs.domain.facts import CutoutKind, Work
from crewjobs.domain.rules import inside_corner
from tests import make


def findings(**hole):
    piece = make.piece(cutouts=(make.sink(**hole),))
    return list(inside_corner.check(make.job(work=Work(pieces=(piece,)))))


@pytest.mark.parametrize(("radius", "is_kept"), [(9.525, True), (10, True), (9, False), (0, False)])
def test_three_eighths_of_an_inch_is_the_least(radius, is_kept) -> None:
    assert (not findings(corner_radius_mm=radius)) is is_kept


def test_a_tap_hole_has_no_corners() -> None:
    assert findings(kind=CutoutKind.TAP_HOLE, width_mm=35, height_mm=35) == []
