"""Masses of stone: area times thickness times density, worked beside the program.

Densities are the least of ASTM C615 for granite (2,560 kg/m3) and the usual 2,400 kg/m3 of
engineered quartz. Areas were computed in 60 digits from rectangles, quarter circles and two legs
less their common square.
"""

import pytest

from crewjobs.domain import pieces
from crewjobs.domain.facts import Cutout, CutoutKind, Piece
from crewjobs.domain.units import KG_PER_POUND, MM_PER_INCH

TOP = ((0, 0), (2440, 0), (2440, 650), (0, 650))
CORNER = ((0, 0), (3000, 0), (3000, 650), (650, 650), (650, 2000), (0, 2000))
SLAB = ((0, 0), (3200, 0), (3200, 1600), (0, 1600))
IMPERIAL = tuple(
    (x * MM_PER_INCH, y * MM_PER_INCH) for x, y in ((0, 0), (96, 0), (96, 25.5), (0, 25.5))
)
SHARP = Cutout(kind=CutoutKind.UNDERMOUNT_SINK, x_mm=1220, y_mm=320, width_mm=760, height_mm=420)
ROUNDED = Cutout(
    kind=CutoutKind.UNDERMOUNT_SINK, x_mm=1220, y_mm=320, width_mm=760, height_mm=420,
    corner_radius_mm=10,
)  # fmt: skip
TAP = Cutout(
    kind=CutoutKind.TAP_HOLE, x_mm=1220, y_mm=590, width_mm=35, height_mm=35, corner_radius_mm=17.5
)


def stone(outline, thickness_mm=30.0, holes=()):
    return Piece(
        name="A", outline_mm=outline, thickness_mm=thickness_mm, density_kg_m3=2400, cutouts=holes
    )


@pytest.mark.parametrize(
    ("outline", "thickness_mm", "holes", "mass_kg"),
    [
        (TOP, 30, (), 114.192), (TOP, 20, (), 76.128), (TOP, 30, (SHARP,), 91.2096),
        (TOP, 30, (ROUNDED,), 91.21578), (TOP, 30, (ROUNDED, TAP), 91.14651),
        (CORNER, 30, (), 203.58), (CORNER, 20, (), 135.72), (SLAB, 20, (), 245.76),
        (SLAB, 30, (), 368.64), (IMPERIAL, 30, (), 250.69 * KG_PER_POUND),
    ],
)  # fmt: skip
def test_the_mass_of_a_piece(outline, thickness_mm, holes, mass_kg) -> None:
    found = pieces.mass_kg(stone(outline, thickness_mm, holes))
    assert found == pytest.approx(mass_kg, rel=2e-5)


def test_the_balance_of_an_l() -> None:
    x_mm, y_mm = pieces.centre_of_gravity_mm(stone(CORNER))
    assert (x_mm, y_mm) == pytest.approx((1135.3448, 635.3448), abs=1e-4)


def test_a_square_foot_of_the_lightest_granite() -> None:
    foot = 12 * MM_PER_INCH
    square = Piece(
        name="A",
        outline_mm=((0, 0), (foot, 0), (foot, foot), (0, foot)),
        thickness_mm=30,
        density_kg_m3=2560,
    )
    assert pieces.mass_kg(square) / KG_PER_POUND == pytest.approx(15.730, abs=5e-4)
