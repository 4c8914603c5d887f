import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain import rails
from crewjobs.domain.facts import Piece
from crewjobs.domain.limits import USUAL
from crewjobs.domain.outlines import l_shape_mm
from tests import make


def top(length, thickness=30, **hole):
    hole = {"width_mm": 750, "height_mm": 410, "y_mm": 305} | hole
    sink = make.sink(x_mm=length / 2, **hole)
    piece = make.piece(length_mm=length, depth_mm=648, thickness_mm=thickness, cutouts=(sink,))
    return piece, sink


@pytest.mark.parametrize(
    ("length", "thickness", "flat_mpa", "flat_factor", "edge_mpa"),
    [
        (1800, 20, 12.9, 2.3, 0.83), (1800, 30, 8.6, 3.5, 0.83), (2600, 20, 34.2, 0.9, 1.15),
        (2600, 30, 22.8, 1.3, 1.15), (3000, 20, 48.5, 0.6, 1.37), (3000, 30, 32.3, 0.9, 1.37),
    ],
)  # fmt: skip
def test_a_sink_top_held_by_its_ends(length, thickness, flat_mpa, flat_factor, edge_mpa) -> None:
    """The beam beside own finite elements; 648 mm deep, a 750 x 410 mm hole in the middle."""
    found = rails.beside(*top(length, thickness))
    assert found.flat_mpa == pytest.approx(flat_mpa, abs=0.2)
    assert found.flat_factor == pytest.approx(flat_factor, abs=0.06)
    assert found.edge_mpa == pytest.approx(edge_mpa, rel=0.06)
    assert found.needs_stiffener is (flat_factor < 3)


def test_a_vanishing_hole_leaves_the_plain_strip() -> None:
    """3/4 rho g L^2 / t for a strip held by its ends, doubled for shock."""
    piece, sink = top(2400, width_mm=1e-3, height_mm=1e-3)
    plain_mpa = 0.75 * 2400 * rails.GRAVITY_M_S2 * 2.4**2 / 0.03 / 1e6
    assert plain_mpa == pytest.approx(3.389, abs=5e-4)
    expected = 2 * rails.FLAT_RAISER_FACTOR * plain_mpa
    assert rails.beside(piece, sink).flat_mpa == pytest.approx(expected, rel=1e-4)


def test_held_at_a_fifth_the_same_top_bends_far_less() -> None:
    piece, sink = top(2600)
    at_ends, inside = rails.beside(piece, sink), rails.beside(piece, sink, grip_mm=520)
    assert inside.flat_factor > 4 * at_ends.flat_factor
    best = rails.grip_mm(piece)
    assert best is not None
    assert 0.15 * 2600 <= best <= 0.3 * 2600
    assert rails.beside(piece, sink, grip_mm=best).flat_factor >= inside.flat_factor


def test_nobody_is_told_to_hold_a_rail() -> None:
    piece, _ = top(1000)
    grip = rails.grip_mm(piece)
    assert grip is None or abs(grip - 500) >= 375 + USUAL.grip_from_cutout_mm


@settings(max_examples=30, deadline=None)
@given(density=st.floats(1700, 3000), width=st.floats(300, 900))
def test_stress_follows_density_and_grows_with_the_hole(density, width) -> None:
    piece, sink = top(2600, width_mm=width)
    heavy = type(piece)(**{f: getattr(piece, f) for f in piece.__slots__} | {"density_kg_m3": 4800})
    light, twice = rails.beside(piece, sink).flat_mpa, rails.beside(heavy, sink).flat_mpa
    assert twice == pytest.approx(2 * light)
    deeper, hole = top(2600, width_mm=width, height_mm=450)
    assert rails.beside(deeper, hole).flat_mpa > light
    assert density > 0


def test_a_narrow_rail_asks_for_a_stiffener_whatever_the_stress() -> None:
    piece, sink = top(900, y_mm=250, width_mm=300)
    found = rails.beside(piece, sink)
    assert found.flat_factor > 3
    assert found.front_mm == 45
    assert found.needs_stiffener


def test_a_measured_rail_counts_as_measured() -> None:
    piece, sink = top(2600, front_rail_mm=70, back_rail_mm=90)
    assert (rails.beside(piece, sink).front_mm, rails.beside(piece, sink).back_mm) == (70, 90)


def test_in_an_l_the_leg_decides() -> None:
    sink = make.sink(x_mm=325, y_mm=1500, width_mm=420, height_mm=700)
    shape = Piece(name="L", outline_mm=l_shape_mm(3000, 2400, 650, 650), thickness_mm=30,
                  cutouts=(sink,))  # fmt: skip
    found = rails.beside(shape, sink)
    assert (found.front_mm, found.back_mm) == (115, 115)


def test_grips_that_meet_and_cutouts_without_rails_are_refused() -> None:
    for arguments in ({"grip_mm": 1300}, {}):
        piece, sink = top(2600, height_mm=410 if arguments else 700)
        with pytest.raises(ValueError, match="leaves no rail, or the grips meet"):
            rails.beside(piece, sink, **arguments)
