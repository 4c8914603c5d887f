import pytest

from crewjobs.domain.facts import PieceKind, RouteElement, RouteKind
from tests import make
from tests.domain.kit.one_thing import amounts, lines

UP = RouteElement(kind=RouteKind.STAIRS, steps=14, pitch_deg=37)
LIFT = RouteElement(kind=RouteKind.LIFT)


def names(length_mm, *route):
    found = lines("lifting_aids", pieces=(make.piece("A", length_mm),), seams=(), route=route)
    return amounts(found)


def test_what_hands_carry_needs_no_aid():
    assert names(400) == {}


def test_a_long_light_piece_is_carried_by_two_with_straps():
    light = make.piece("A", 1250, 300, thickness_mm=20)
    assert amounts(lines("lifting_aids", pieces=(light,), seams=())) == {"carrying strap": 2}


def test_a_heavy_top_asks_for_trolley_and_two_clamps():
    assert names(2440) == {
        "trolley for stone on edge": 1, "carrying clamp": 2, "carrying strap": 3,
    }  # fmt: skip


def test_a_trolley_for_stairs_unless_there_is_a_lift():
    assert "trolley for stairs" in names(2440, UP)
    assert "trolley for stairs" not in names(2440, UP, LIFT)


def test_a_crane_beyond_four_people():
    assert "crane or lifting table" in names(4500)
    assert "crane or lifting table" not in names(3000)


def test_a_clamp_bears_the_heavier_end():
    def load_kg(*route):
        found = lines("lifting_aids", pieces=(make.piece("A"),), seams=(), route=route)
        return next(line.load_kg for line in found if line.name == "carrying clamp")

    assert load_kg() == pytest.approx(114.192 / 2)
    assert load_kg(UP) > load_kg()


def test_backsplashes_are_carried_by_hand():
    strip = make.piece("S", 3000, 500, kind=PieceKind.BACKSPLASH)
    assert lines("lifting_aids", pieces=(strip,), seams=()) == []
