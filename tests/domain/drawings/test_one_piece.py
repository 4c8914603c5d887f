"""A piece with its measures: everything that is known is drawn at its place, nothing else is."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain import drawings
from crewjobs.domain.drawings import Role, one_piece, stone
from crewjobs.domain.facts import CutoutKind, Piece
from crewjobs.domain.outlines import Corner, box_mm, l_shape_mm, mirrored_mm
from tests import make
from tests.domain.drawings.lettered import PLAIN, circles, lines, of_role, polygons, texts


def drawn(piece: Piece) -> drawings.Drawing:
    return drawings.piece(piece, PLAIN)


def test_the_whole_size_and_every_cutouts_size_and_place_are_measured():
    found = texts(drawn(make.piece("A", 2440, 650, cutouts=(make.sink(1300, 300),))))
    for said in ("2440", "650", "760", "920", "90", "420", "140"):
        assert said in found
    assert "A, 91 kg" in found


def test_the_outline_is_drawn_to_scale_with_its_front_below():
    (polygon,) = polygons(drawn(make.piece("A", 2440, 650)), Role.STONE)
    (left, low), (right, high) = box_mm(polygon.corners_mm)
    assert (right - left, high - low) == pytest.approx((2440, 650))
    assert polygon.corners_mm[0] == pytest.approx((left, low))


def test_a_weak_rail_is_hatched_on_both_sides_and_named():
    weak = drawn(make.piece("A", 2440, 650, cutouts=(make.sink(1220, 325),)))
    assert len(polygons(weak, Role.RAIL)) == 2
    assert {
        box[1][0] - box[0][0]
        for box in (tuple(map(tuple, box_mm(p.corners_mm))) for p in polygons(weak, Role.RAIL))
    } == {760}
    assert "weak rail" in texts(weak)
    small = make.sink(300, 325, width_mm=200, height_mm=200)
    strong = drawn(make.piece("A", 600, 650, cutouts=(small,)))
    assert not of_role(strong, Role.RAIL)
    assert not of_role(strong, Role.HATCH)


def test_a_hole_made_on_site_is_dashed_and_said():
    hob = make.sink(1220, 325, kind=CutoutKind.COOKTOP, is_made_on_site=True)
    found = drawn(make.piece("A", 2440, 650, cutouts=(hob,)))
    assert len(polygons(found, Role.SITE_CUTOUT)) == 1
    assert any("cut on site" in text for text in texts(found))


def test_a_tap_hole_is_told_by_its_place():
    tap = make.sink(1300, 580, kind=CutoutKind.TAP_HOLE, width_mm=35, height_mm=35)
    assert "tap hole 35: 1300 from the left, 580 from the front" in texts(
        drawn(make.piece("A", 2440, 650, cutouts=(tap,)))
    )


def test_it_is_held_where_the_rails_bear_it_best_and_balances_at_its_centre():
    found = drawn(make.piece("A", 2000, 600))
    (stone_drawn,) = polygons(found, Role.STONE)
    left, low = stone_drawn.corners_mm[0]
    grips = sorted((round(c.middle_mm[0] - left), round(c.middle_mm[1] - low))
                   for c in circles(found, Role.GRIP))  # fmt: skip
    assert grips == [(400, 0), (400, 600), (1600, 0), (1600, 600)]
    (balance,) = circles(found, Role.BALANCE)
    assert balance.middle_mm == pytest.approx((left + 1000, low + 300))


@pytest.mark.parametrize(
    ("finished_mm", "edges"), [(0, 0), (2440, 1), (3090, 2), (3740, 3), (6180, 4), (5000, 0)]
)
def test_a_finished_edge_is_thick_where_its_length_says_which(finished_mm, edges):
    found = drawn(make.piece("A", 2440, 650, finished_edge_mm=finished_mm))
    assert len(lines(found, Role.FINISHED)) == edges
    assert any("which is not known" in text for text in texts(found)) == (finished_mm == 5000)


def test_an_l_shows_its_own_outline_and_holds():
    outline = mirrored_mm(l_shape_mm(2600, 1800, 635, 635), Corner.BACK_LEFT)
    found = drawn(Piece(name="L", outline_mm=outline, thickness_mm=30))
    (polygon,) = polygons(found, Role.STONE)
    assert len(polygon.corners_mm) == 6
    for circle in circles(found, Role.GRIP):
        x, y = circle.middle_mm
        assert any(
            min(ax, bx) - 1e-6 <= x <= max(ax, bx) + 1e-6
            and min(ay, by) - 1e-6 <= y <= max(ay, by) + 1e-6
            for (ax, ay), (bx, by) in zip(
                polygon.corners_mm, polygon.corners_mm[1:] + polygon.corners_mm[:1], strict=True
            )
        )


@given(
    length=st.floats(600, 3200), depth=st.floats(400, 1200), share=st.floats(0.3, 0.7),
    wide=st.floats(100, 400),
)  # fmt: skip
def test_no_two_measures_of_a_row_lie_over_each_other(length, depth, share, wide):
    sink = make.sink(share * length, depth / 2, width_mm=wide, height_mm=depth / 2)
    hob = replace(sink, x_mm=share * length + wide / 2, kind=CutoutKind.COOKTOP)
    spans = [
        one_piece._Measure(start_mm=start, end_mm=start + wide, text=f"{wide:.0f} mm")
        for start in (sink.x_mm, hob.x_mm, 0.0, length)
    ]
    rows = one_piece._packed(spans, 60)
    assert sum(len(row) for row in rows) == len(set(spans))
    for row in rows:
        rooms = sorted(one_piece._room(each, 60) for each in row)
        assert all(b <= c for (_, b), (c, _) in pairwise(rooms))


def test_the_description_tells_what_the_picture_shows():
    words = drawn(make.piece("A", 2440, 650, cutouts=(make.sink(),))).description
    for said in ("front below", "undermount sink is 1220 from the left", "Weak rail", "balances"):
        assert said in words


def test_a_piece_whose_cutout_leaves_no_rail_is_drawn_all_the_same():
    notch = make.sink(1220, 325, height_mm=650)
    piece = make.piece("A", 2440, 650, cutouts=(notch,))
    assert stone.weak(piece, notch)
    assert of_role(drawn(piece), Role.STONE)
