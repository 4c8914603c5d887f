"""Published lengths that go round corners, into rectangles and into lift cars.

Sources: MathWorld, "Moving Ladder Problem"; the calculus-text ladder of 9 and 6 feet; J. E. Wetzel,
"Rectangles in Rectangles", Mathematics Magazine 73(3), 2000; 2010 ADA Standards, table 407.4.1, for
the cars; Kallus and Romik 2018 for the area that no shape exceeds in a corner. Figures marked as
derived were computed from the formulas with a polygon collision test beside them. The brackets come
from a search over place and angle in which every cell was proven free or proven blocked.
"""

from math import cos, hypot, radians, sqrt

import pytest

from crewjobs.domain.access import shapes

MOVING_SOFA_UPPER = 2.37


@pytest.mark.parametrize(
    ("a", "b", "longest"),
    [
        (1, 1, 2 * sqrt(2)), (9, 6, 21.0704471), (5.8, 8.73, 20.4079240), (36, 36, 101.8233765),
        (0.9, 1.2, 2.9596988), (0.914, 1.2, 2.9804886), (8, 27, 13**1.5),
    ],
)  # fmt: skip
def test_a_ladder_goes_round_a_corner(a, b, longest) -> None:
    assert shapes.corner_mm(a, b, 0) == pytest.approx(longest, abs=5.1e-8)


@pytest.mark.parametrize(
    ("a", "b", "wide", "longest"),
    [
        (1, 1, 0.2, 2.4284271), (1, 1, 0.5, 1.8284271), (0.914, 0.914, 0.02, 2.545182),
        (0.914, 0.914, 0.03, 2.525182), (0.914, 0.914, 0.65, 1.285182), (0.9, 1.2, 0.03, 2.899415),
        (0.9, 1.2, 0.1, 2.758686), (0.9, 1.2, 0.6, 1.747413), (36, 36, 1.25, 99.323376),
        (36, 42, 25.5, 59.022156),
    ],
)  # fmt: skip
def test_a_thick_ladder_goes_round_a_corner(a, b, wide, longest) -> None:
    """Derived; the shortcut "rod less twice the width" errs on the unsafe side at 0.9 and 1.2."""
    assert shapes.corner_mm(a, b, wide) == pytest.approx(longest, abs=6e-7 * longest)


@pytest.mark.parametrize("wide", [n / 50 for n in range(45)])
def test_equal_corridors_take_twice_the_width_off(wide) -> None:
    assert shapes.corner_mm(1, 1, wide) == pytest.approx(2 * sqrt(2) - 2 * wide, abs=1e-9)


def test_corridors_that_turn_by_60_degrees() -> None:
    assert shapes.corner_mm(1, 1, 0, turn_deg=60) == pytest.approx(4, abs=1e-9)


def test_no_rectangle_is_larger_than_a_sofa_or_than_one_by_area() -> None:
    areas = [wide / 400 * shapes.corner_mm(1, 1, wide / 400) for wide in range(1, 400)]
    assert max(areas) == pytest.approx(1.0, abs=1e-4)
    assert max(areas) <= MOVING_SOFA_UPPER


@pytest.mark.parametrize(
    ("p", "q", "a", "b", "fits"),
    [
        (9, 4, 8, 6, False), (5, 1, 4, 4, False), (10.5, 1, 10, 6, True), (10.5, 3, 10, 6, False),
        (11, 1, 10, 6, False), (11.2, 0.5, 10, 6, True), (2.1, 0.10, 2.032, 0.813, True),
        (2.1, 0.15, 2.032, 0.813, False), (2.1, 0.65, 2.032, 0.813, False),
    ],
)  # fmt: skip
def test_a_rectangle_lies_in_a_rectangle(p, q, a, b, fits) -> None:
    assert shapes.fits_inside(p, q, a, b) is fits
    assert shapes.fits_inside(q, p, b, a) is fits


@pytest.mark.parametrize(
    ("wide", "width", "depth", "longest"),
    [
        (0, 80, 51, 94.8736), (1.25, 80, 51, 93.7449), (2.5, 80, 51, 92.6260),
        (1.25, 68, 51, 83.8022), (1.25, 80, 54, 95.3636), (1.25, 54, 42, 67.2012),
        (1.25, 48, 36, 58.8032), (25.5, 94, 84, 100.9218),
    ],
)  # fmt: skip
def test_the_longest_piece_in_a_car(wide, width, depth, longest) -> None:
    """Derived, for the cars of the standard, in inches; the last one stands upright."""
    assert shapes.longest_inside_mm(wide, width, depth) == pytest.approx(longest, abs=6e-5)


@pytest.mark.parametrize(
    ("a", "b", "wide", "low", "high"),
    [
        (914, 914, 110, 2268, 2405), (1067, 914, 110, 2474, 2622), (1200, 800, 60, 2577, 2733),
        (900, 1500, 130, 2977, 3144), (914, 914, 648, 1202, 1331),
    ],
)  # fmt: skip
def test_corners_lie_in_their_brackets(a, b, wide, low, high) -> None:
    assert low <= shapes.corner_mm(a, b, wide) <= high


@pytest.mark.parametrize(
    ("foot", "headroom", "pitch", "high", "least", "most"),
    [
        (2400, 2032, 37, 748, 7521, 8195), (2400, 2032, 37, 1200, 4756, 5350),
        (2200, 1900, 42, 900, 4768, 5270), (2300, 2000, 37, 1350, 3431, 4013),
    ],
)  # fmt: skip
def test_stair_feet_lie_in_their_brackets(foot, headroom, pitch, high, least, most) -> None:
    longest = shapes.corner_mm(foot, headroom * cos(radians(pitch)), high, turn_deg=pitch)
    assert least <= longest <= most


def test_a_cab_lies_in_its_bracket() -> None:
    longest = shapes.into_box_mm(110, 1600, 1400, door_mm=900, return_mm=350)
    assert 1753 <= longest <= 1773


def test_a_box_goes_round_a_corner_only_with_one_end_up() -> None:
    """A well-known question: 4.3 x 0.2 x 0.07 m in halls 1.5 m wide and 2.5 m high."""
    level = shapes.corner_mm(1.5, 1.5, 0.07)
    longest, pitch = shapes.tilted(level, 2.5, 0.2, 60)
    assert level == pytest.approx(4.10, abs=0.005)
    assert longest == pytest.approx(4.63, abs=0.005)
    assert pitch == pytest.approx(30, abs=1)


def test_a_pitched_plate_touches_all_four_sides() -> None:
    longest, _ = shapes.tilted(2400, 2338, 648, 60)
    assert longest == pytest.approx(shapes.longest_inside_mm(648, 2400, 2338), rel=1e-12)
    assert longest < hypot(2400, 2338)
