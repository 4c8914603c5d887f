"""A loaded frame: every piece at its place, as long, high and thick as it is."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain import drawings, loading
from crewjobs.domain.drawings import Role, a_load
from crewjobs.domain.facts import Piece
from crewjobs.domain.outlines import box_mm
from crewjobs.domain.pieces import centre_of_gravity_mm
from tests import make
from tests.domain.drawings.lettered import PLAIN, lines, polygons, texts

PIECES = [
    make.piece("A", 2900, 635, cutouts=(make.sink(1300, 280),)),
    make.piece("B", 2300, 635, thickness_mm=20),
    make.piece("Island", 1000, 1800),
]
ITEMS = [loading.item_of(piece, stop=1 + place // 2) for place, piece in enumerate(PIECES)]
PLAN = loading.plan(ITEMS)
PLACES = [*PLAN.left, *PLAN.right]


def sizes(polygon: drawings.Polygon) -> tuple[float, float]:
    (left, low), (right, high) = box_mm(polygon.corners_mm)
    return round(right - left), round(high - low)


def test_each_piece_is_seen_from_behind_as_thick_and_from_the_side_as_long_as_it_is():
    found = drawings.load(PLAN, loading.Frame(), PLAIN)
    slabs, seen = [], []
    for polygon in polygons(found, Role.STONE):
        (ax, ay), (bx, by), (cx, cy), _ = polygon.corners_mm
        across, along = hypot(bx - ax, by - ay), hypot(cx - bx, cy - by)
        if across < 100:
            slabs.append((round(across / a_load.CLOSE), round(along / a_load.CLOSE)))
        else:
            seen.append(sizes(polygon))
    assert slabs == [(e.item.thickness_mm, e.item.height_mm) for e in PLACES]
    assert seen == [(e.item.length_mm, e.item.height_mm) for e in PLACES]
    assert len(lines(found, Role.FACE)) == len(PLACES)


def test_what_stands_where_is_told_innermost_first():
    found = texts(drawings.load(PLAN, loading.Frame(), PLAIN))
    for places in (PLAN.left, PLAN.right):
        for number, place in enumerate(places, start=1):
            assert f"{number}. {place.item.name}" in found
            assert any(
                text.startswith(f"stop {place.item.stop}, ") and str(place.facing) in text
                for text in found
            )


@pytest.mark.parametrize("letters", [20, 44])
def test_both_sides_stand_beside_each_other_where_there_is_room(letters):
    lettering = drawings.Lettering(extent=PLAIN.extent, mass=PLAIN.mass, letters=letters)
    found = drawings.load(PLAN, loading.Frame(), lettering)
    assert (found.width_mm > found.height_mm) == (letters == 44)


@given(x=st.floats(600, 1800), y=st.floats(260, 390), is_along=st.booleans(), over=st.booleans())
def test_a_piece_on_edge_keeps_its_stone_and_its_balance(x, y, is_along, over):
    outline = ((5, -7), (2405, -7), (2405, 643), (5, 643))
    along = Piece(
        name="A", outline_mm=outline, thickness_mm=30,
        cutouts=(make.sink(x, y, height_mm=300),),
    )  # fmt: skip
    upright = Piece(
        name="A", outline_mm=tuple((b, a) for a, b in outline), thickness_mm=30,
        cutouts=(make.sink(y, x, width_mm=300, height_mm=760),),
    )  # fmt: skip
    stands = a_load.on_edge(along if is_along else upright, is_turned_over=over)
    assert box_mm(stands.outline_mm) == ((0, 0), (2400, 650))
    across, up = centre_of_gravity_mm(along)
    expected = (across - 5, up + 7)
    if over:
        expected = (2400 - expected[0], 650 - expected[1])
    assert centre_of_gravity_mm(stands) == pytest.approx(expected)


def test_upside_down_the_weaker_rail_is_above():
    piece = make.piece("A", 2900, 635, cutouts=(make.sink(1300, 280),))
    item = loading.item_of(piece, stop=1)
    assert item.is_turned_over
    (hole,) = a_load.on_edge(piece, is_turned_over=True).cutouts
    assert 635 - (hole.y_mm + hole.height_mm / 2) == 280 - 210


def test_an_empty_frame_is_drawn_empty():
    found = drawings.load(loading.plan([]), loading.Frame(), PLAIN)
    assert texts(found).count("empty") == 4
    assert not polygons(found, Role.STONE)
