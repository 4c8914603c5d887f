"""Plain shapes: their area by hand, their box, and what is wrong with sizes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.facts import Piece
from crewjobs.domain.outlines import Corner, box_mm, outline_refusals
from crewjobs.domain.pieces import polygon
from crewjobs.domain.plain_shapes import Shape, faults, outline_mm

long = st.floats(1500, 4000)
deep = st.floats(300, 700)


@given(length=long, leg=long, depth=deep, leg_depth=deep, corner=st.sampled_from(Corner))
def test_an_l_has_the_area_of_its_two_parts_wherever_its_corner_is(
    length, leg, depth, leg_depth, corner
):
    sizes = {"length_mm": length, "depth_mm": depth, "leg_mm": leg, "leg_depth_mm": leg_depth}
    outline = outline_mm(Shape.L, sizes, corner)
    area_mm2, _ = polygon(outline)
    assert area_mm2 == pytest.approx(length * depth + leg_depth * (leg - depth))
    low, high = box_mm(outline)
    assert [*low, *high] == pytest.approx([0, 0, length, leg])
    x, y = outline[0]
    assert (x > 0) == (corner in (Corner.FRONT_RIGHT, Corner.BACK_RIGHT))
    assert (y > 0) == (corner in (Corner.BACK_LEFT, Corner.BACK_RIGHT))
    assert not outline_refusals(Piece(name="L", outline_mm=outline, thickness_mm=30))


@given(length=long, left=long, right=long, depth=deep, leg_depth=deep)
def test_a_u_has_the_area_of_its_three_parts_and_opens_to_the_front(
    length, left, right, depth, leg_depth
):
    sizes = {"length_mm": length, "depth_mm": depth, "left_mm": left, "right_mm": right,
             "leg_depth_mm": leg_depth}  # fmt: skip
    outline = outline_mm(Shape.U, sizes)
    area_mm2, (_, y) = polygon(outline)
    parts = length * depth + leg_depth * (left + right - 2 * depth)
    assert area_mm2 == pytest.approx(parts)
    assert y > max(left, right) / 2
    assert not outline_refusals(Piece(name="U", outline_mm=outline, thickness_mm=30))


@pytest.mark.parametrize(
    ("shape", "sizes", "wrong"),
    [
        (Shape.RECTANGLE, {"length_mm": 1, "depth_mm": 1}, {}),
        (Shape.RECTANGLE, {"depth_mm": 0}, {"length_mm", "depth_mm"}),
        (Shape.L, {"length_mm": 1, "depth_mm": 1}, {"leg_mm"}),
        (Shape.L, {"length_mm": 1, "depth_mm": 1, "leg_mm": 2, "left_mm": 3}, {"left_mm"}),
        (Shape.U, {"length_mm": 1, "depth_mm": -1, "left_mm": float("nan")},
         {"right_mm", "depth_mm", "left_mm"}),
    ],
)  # fmt: skip
def test_each_size_that_is_missing_wrong_or_of_no_use_is_named(shape, sizes, wrong):
    assert set(faults(shape, sizes)) == set(wrong)


@pytest.mark.parametrize(
    ("shape", "sizes", "said"),
    [
        (Shape.L, {"leg_mm": 650}, "leg_mm is 650, it must be more than 650"),
        (Shape.L, {"leg_mm": 900, "length_mm": 600}, "length_mm is 600"),
        (Shape.U, {"left_mm": 600, "right_mm": 900}, "left_mm is 600"),
        (Shape.U, {"left_mm": 900, "right_mm": 900, "length_mm": 1300}, "more than 1300"),
    ],
)
def test_a_leg_that_does_not_come_out_of_the_other_part_is_named(shape, sizes, said):
    with pytest.raises(ValueError, match=said):
        outline_mm(shape, {"length_mm": 3000, "depth_mm": 650} | sizes)
