import cmath
from math import pi, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.access import shapes
from tests.domain.access import walls
from tests.domain.access.random_ways import trials

WIDTHS = st.floats(600, 2500)
THIN = st.floats(0, 550)
TURNS = st.floats(15, 150)


@pytest.mark.parametrize("seed", range(4))
def test_the_judge_lets_every_longest_piece_pass(seed) -> None:
    """48 random corners, stair feet, side doors and cabs each; the bench takes 600."""
    assert [each for each in trials(seed, 48) if not each.passes] == []


@settings(max_examples=25, deadline=None)
@given(a=WIDTHS, b=WIDTHS, wide=THIN, turn=TURNS)
def test_a_little_longer_collides_in_a_corner(a, b, wide, turn) -> None:
    long = shapes.corner_mm(a, b, wide, turn_deg=turn)
    assert walls.round_a_corner(a, b, turn, long * (1 - 1e-6), wide)
    assert not walls.round_a_corner(a, b, turn, long * 1.001, wide)


@settings(max_examples=60, deadline=None)
@given(a=WIDTHS, b=WIDTHS, wide=THIN, turn=TURNS, scale=st.floats(0.1, 30))
def test_a_corner_grows_with_its_scale_and_does_not_know_left_from_right(
    a, b, wide, turn, scale
) -> None:
    long = shapes.corner_mm(a, b, wide, turn_deg=turn)
    scaled = shapes.corner_mm(scale * a, scale * b, scale * wide, turn_deg=turn)
    assert scaled == pytest.approx(scale * long, rel=1e-9)
    assert shapes.corner_mm(b, a, wide, turn_deg=turn) == pytest.approx(long, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(a=WIDTHS, b=WIDTHS, wide=THIN, more=st.floats(0.1, 300), turn=TURNS)
def test_a_wider_corridor_or_a_thinner_piece_is_never_worse(a, b, wide, more, turn) -> None:
    long = shapes.corner_mm(a, b, wide, turn_deg=turn) * (1 - 1e-12)
    assert shapes.corner_mm(a + more, b, wide, turn_deg=turn) >= long
    assert shapes.corner_mm(a, b, max(0, wide - more), turn_deg=turn) >= long


@settings(max_examples=60, deadline=None)
@given(plan=WIDTHS, clear=st.floats(1000, 3000), high=st.floats(200, 1400), more=st.floats(1, 500))
def test_more_room_never_shortens_a_pitched_piece(plan, clear, high, more) -> None:
    long, _ = shapes.tilted(plan, clear, high, 60)
    assert shapes.tilted(plan + more, clear, high, 60)[0] >= long
    assert shapes.tilted(plan, clear + more, high, 60)[0] >= long * (1 - 1e-12)
    assert shapes.tilted(plan, clear, high, 30)[0] <= long * (1 + 1e-12)
    assert long == 0 or long >= plan


@settings(max_examples=60, deadline=None)
@given(plan=WIDTHS, clear=st.floats(1000, 3000), high=st.floats(200, 990), part=st.floats(0, 1))
def test_a_pitched_piece_stays_within_plan_and_height_while_it_is_raised(
    plan, clear, high, part
) -> None:
    """Its four corners are turned one by one, from level to the pitch it is carried at."""
    long, pitch = shapes.tilted(plan, clear, high, 60)
    corners = [complex(x, y) for x in (0, long) for y in (0, high)]
    raised = [c * cmath.exp(1j * radians(part * pitch)) for c in corners]
    final = [c * cmath.exp(1j * radians(pitch)) for c in corners]
    assert max(c.imag for c in raised) - min(c.imag for c in raised) <= clear + 1e-6
    assert max(c.real for c in final) - min(c.real for c in final) <= plan + 1e-6


def test_a_piece_is_never_stood_on_its_end() -> None:
    """In a shaft 700 mm long and 2400 high a 648 mm top could stand upright: it may not."""
    assert shapes.tilted(700, 2400, 648, 89)[0] < 1000


@pytest.mark.parametrize("turn_deg", [0, -90, 151, 180])
def test_what_is_no_turn_is_refused(turn_deg) -> None:
    with pytest.raises(ValueError, match="turn_deg is"):
        shapes.corner_mm(1000, 1000, 100, turn_deg=turn_deg)


def test_a_piece_wider_than_its_corridor_or_door_does_not_enter() -> None:
    assert shapes.corner_mm(900, 1200, 900) == 0
    assert shapes.slide_in(900, 700, 100, 700) == (0, pi / 2)
    assert shapes.into_box_mm(800, 1600, 1400, door_mm=800, return_mm=400) == 0
    wide_door = {"door_mm": 1500, "return_mm": 400, "wall_mm": 100}
    assert shapes.straight_into_box_mm(100, 1600, 1400, **wide_door) == 0


def test_a_narrow_door_shortens_what_a_cab_takes() -> None:
    wide, narrow = (
        shapes.into_box_mm(110, 1600, 1400, door_mm=door, return_mm=350) for door in (900, 180)
    )
    assert 1400 <= narrow < wide
