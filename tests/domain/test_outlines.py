from math import hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain import outlines
from crewjobs.domain.facts import Piece
from crewjobs.domain.pieces import area_m2, centre_of_gravity_mm, mass_kg, polygon
from tests import make

LEGS = st.floats(700, 3000)
DEPTHS = st.floats(300, 690)


def piece(outline, **fields) -> Piece:
    return Piece(**({"name": "A", "outline_mm": outline, "thickness_mm": 30} | fields))


def test_an_l_has_its_area_and_its_centre() -> None:
    """Shoelace by hand: 2000 x 1500, legs 600 deep, 1.74 m2, balanced at (782.76, 532.76)."""
    shape = piece(outlines.l_shape_mm(2000, 1500, 600, 600))
    assert area_m2(shape) == pytest.approx(1.74, abs=1e-12)
    assert centre_of_gravity_mm(shape) == pytest.approx((782.7586207, 532.7586207))


@settings(max_examples=40)
@given(along=LEGS, back=LEGS, first=DEPTHS, second=DEPTHS)
def test_an_l_is_two_rectangles_less_their_overlap(along, back, first, second) -> None:
    area, _ = polygon(outlines.l_shape_mm(along, back, first, second))
    assert area == pytest.approx(along * first + back * second - first * second)


@settings(max_examples=40)
@given(leg=LEGS, depth=DEPTHS)
def test_an_even_l_balances_on_its_diagonal(leg, depth) -> None:
    x, y = centre_of_gravity_mm(piece(outlines.l_shape_mm(leg, leg, depth, depth)))
    assert x == pytest.approx(y)


def test_a_u_is_three_rectangles() -> None:
    outline = outlines.u_shape_mm(2600, 2000, 1500, depth_mm=650, leg_depth_mm=600)
    assert polygon(outline)[0] == pytest.approx(2600 * 650 + 600 * 1350 + 600 * 850)
    assert outlines.box_mm(outline) == ((0, 0), (2600, 2000))
    assert outlines.inside_corners_mm(outline) == ((2000, 650), (600, 650))
    assert outlines.inside_corners_mm(outline[::-1]) == ((600, 650), (2000, 650))


@pytest.mark.parametrize("sizes", [(600, 1500, 600, 600), (2000, 600, 600, 600)])
def test_an_l_with_a_leg_too_short_is_refused(sizes) -> None:
    with pytest.raises(ValueError, match="it must be more than 600"):
        outlines.l_shape_mm(*sizes)


@settings(max_examples=40)
@given(radius=st.floats(1, 300), flat=st.floats(0.01, 1))
def test_rounded_corners_take_their_area_and_stay_within_the_tolerance(radius, flat) -> None:
    sharp = outlines.rectangle_mm(1000, 600)
    rounded = outlines.rounded_mm(sharp, dict.fromkeys(range(4), radius), flat_mm=flat)
    area, _ = polygon(rounded)
    true = 600_000 - (4 - pi) * radius**2
    assert true - 2 * pi * radius * flat <= area <= true + 1e-6
    for x, y in rounded:
        if x < radius and y < radius:
            assert hypot(x - radius, y - radius) == pytest.approx(radius)


def test_an_inside_corner_is_rounded_as_well() -> None:
    sharp = outlines.l_shape_mm(2000, 1500, 600, 600)
    rounded = outlines.rounded_mm(sharp, {3: 100}, flat_mm=0.001)
    assert polygon(rounded)[0] == pytest.approx(1.74e6 + (1 - pi / 4) * 100**2, rel=1e-6)


def test_a_radius_that_does_not_fit_is_refused_at_its_corner() -> None:
    with pytest.raises(ValueError, match=r"the radius at \(1000, 0\) does not fit"):
        outlines.rounded_mm(outlines.rectangle_mm(1000, 600), {1: 400, 2: 300})


def test_only_finished_edges_are_counted() -> None:
    outline = outlines.rectangle_mm(2440, 650)
    assert outlines.length_mm(outline, {0, 1, 3}) == 2440 + 650 + 650


BOW = ((0, 0), (2000, 600), (2000, 0), (0, 600))


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (piece(BOW), "crosses itself at (1000, 300)"),
        (piece(((0, 0), (2000, 0), (2000, 600), (1000, 0), (0, 600))), "itself at (1000, 0)"),
        (piece(outlines.rectangle_mm(24.4, 6.5)), "the depth is 6.5 mm"),
        (piece(outlines.rectangle_mm(96_000, 650)), "is the unit right?"),
        (piece(outlines.rectangle_mm(2440, 650), thickness_mm=300), "the thickness is 300 mm"),
        (piece(((0, 0), (0, 0), (2000, 0), (2000, 600))), "stands still at (0, 0)"),
        (piece(((0, 0), (float("nan"), 0), (2000, 600))), "(nan, 0) is no point"),
        (make.piece(cutouts=(make.sink(x_mm=100),)), "reaches outside the outline at (-280, 115)"),
        (make.piece(cutouts=(make.sink(), make.sink(x_mm=1500))), "at (1500, 325) overlap"),
        (make.piece(cutouts=(make.sink(y_mm=210),)), "meets the outline"),
    ],
)  # fmt: skip
def test_what_cannot_be_cut_is_refused_with_its_point(bad, said) -> None:
    assert said in "; ".join(outlines.refusals(bad))


def test_a_cutout_across_an_inside_corner_is_refused() -> None:
    """All its corners lie in the stone, its edge leaves it."""
    notch = ((0, 0), (2000, 0), (2000, 600), (1100, 600), (1000, 200), (900, 600), (0, 600))
    assert (
        "meets the outline" in outlines.refusals(piece(notch, cutouts=(make.sink(1000, 300),)))[0]
    )


@pytest.mark.parametrize(
    "good",
    [
        make.piece(cutouts=(make.sink(),)),
        piece(outlines.l_shape_mm(3000, 2000, 650, 650)[::-1]),
        piece(outlines.rounded_mm(outlines.rectangle_mm(2000, 650), {0: 50, 1: 50})),
    ],
)
def test_what_can_be_cut_is_not_refused(good) -> None:
    assert outlines.refusals(good) == ()


@settings(max_examples=30)
@given(dx=st.floats(-1e4, 1e4), dy=st.floats(-1e4, 1e4))
def test_mass_knows_neither_place_nor_direction(dx, dy) -> None:
    outline = outlines.l_shape_mm(2000, 1500, 600, 600)
    moved = tuple((x + dx, y + dy) for x, y in outline[::-1])
    assert mass_kg(piece(moved)) == pytest.approx(mass_kg(piece(outline)))


def test_an_outline_that_runs_back_on_itself_is_refused():
    spike = ((0, 0), (2000, 0), (1500, 0), (1500, 600), (0, 600))
    assert outlines.refusals(piece(spike))[0] == "the outline runs back on itself at (2000, 0)"


@given(points=st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=4, max_size=8))
def test_only_edges_that_cannot_meet_are_left_out(points):
    corners = tuple((x * 100.0, y * 100.0) for x, y in points)
    edges = outlines._edges(corners)
    near = set(outlines._near_pairs(edges))
    count = len(edges)
    for second in range(count):
        for first in range(second):
            if (second - first) % count not in (1, count - 1) and (first, second) not in near:
                assert outlines._meeting(edges[first], edges[second]) is None
