from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.access import Answer, check, longest_piece, side_rooms
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.facts import RouteElement, RouteKind
from crewjobs.domain.outlines import l_shape_mm
from tests import make

INCH = 25.4


def door(**sizes) -> RouteElement:
    return RouteElement(kind=RouteKind.DOOR, **{"width_mm": 864, "height_mm": 2032} | sizes)


def corner(a=914, b=914, **sizes) -> RouteElement:
    sizes = {"height_mm": 2438, "turn_deg": 90, "name": "hall corner"} | sizes
    return RouteElement(kind=RouteKind.TURN, width_mm=a, depth_mm=b, **sizes)


def side_door(**sizes) -> RouteElement:
    sizes = {"hall_mm": 914.4, "length_mm": 5000, "room_mm": 3600, "wall_mm": 120} | sizes
    return door(turn_deg=90, **{"free_wall_mm": 3600, "name": "kitchen door"} | sizes)


def landing(turn_deg=90, width=914, **sizes) -> RouteElement:
    sizes = {"height_mm": 2438, "pitch_deg": 37, "depth_mm": width} | sizes
    return RouteElement(kind=RouteKind.LANDING, width_mm=width, turn_deg=turn_deg, **sizes)


def stairs(**sizes) -> RouteElement:
    sizes = {"width_mm": 914, "height_mm": 2438, "headroom_mm": 2032, "pitch_deg": 37} | sizes
    return RouteElement(kind=RouteKind.STAIRS, **sizes)


def lift(width, depth, **sizes) -> RouteElement:
    sizes = {"height_mm": 2200, "door_mm": 900, "door_height_mm": 2000} | sizes
    return RouteElement(kind=RouteKind.LIFT, width_mm=width, depth_mm=depth, **sizes)


@pytest.mark.parametrize(
    ("a", "b", "level", "tilted"),
    [
        (36, 36, 2306, 2636), (42, 36, 2519, 2792), (42, 42, 2737, 2968), (48, 36, 2726, 2958),
        (48, 48, 3168, 3342), (60, 36, 3128, 3306), (60, 48, 3591, 3729),
    ],
)  # fmt: skip
def test_the_longest_top_round_a_hall_corner(a, b, level, tilted) -> None:
    """Depth 648 mm, 30 mm thick, ceiling 8 ft, the usual clearances; widths in inches."""
    found = longest_piece((corner(a * INCH, b * INCH),), 648)
    assert (round(found.level_mm), round(found.tilted_mm)) == (level, tilted)
    assert found.level_at == "hall corner"


@pytest.mark.parametrize("door_in", [28, 30, 32])
def test_a_free_wall_beyond_the_door_is_worth_more_than_a_metre(door_in) -> None:
    """The judge replays the slide itself: see test_shapes.py."""
    with_wall, without = (
        longest_piece((side_door(width_mm=door_in * INCH, free_wall_mm=free),), 648).level_mm
        for free in (3600, 1500)
    )
    assert with_wall > without + 1000


@pytest.mark.parametrize(
    ("element", "longest"),
    [(landing(90, 914.4), 2212), (landing(180, 914.4, gap_mm=100), 1752)],
)
def test_landings_limit_where_stairs_do_not(element, longest) -> None:
    found = longest_piece((element, stairs()), 648)
    assert found.level_mm == pytest.approx(longest, abs=2)
    assert longest_piece((stairs(),), 648).level_mm > 6000


@pytest.mark.parametrize(
    ("rule", "searched"),
    [
        (landing(180, 914, depth_mm=914, gap_mm=100, height_mm=2500), 1975),
        (landing(180, 1100, depth_mm=1200, gap_mm=200, pitch_deg=33, height_mm=2500), 2500),
        (landing(90, 914, height_mm=2400), 2450),
    ],
)
def test_a_landing_stays_within_a_tenth_below_what_a_search_found(rule, searched) -> None:
    """A search over place, height, yaw and pitch, bare of clearances except 40 mm at each side."""
    bare = Clearances(end_mm=0, lift_mm=0, head_mm=0)
    found = longest_piece((rule,), 648, clearances=bare).level_mm
    assert 0.9 * searched <= found <= searched


@pytest.mark.parametrize(
    ("width", "depth", "door_mm", "level"),
    [(1100, 1400, 800, 1531), (1600, 1400, 900, 1708), (1100, 2100, 900, 2184)],
)
def test_the_longest_top_in_a_lift(width, depth, door_mm, level) -> None:
    found = longest_piece((lift(width, depth, door_mm=door_mm),), 648)
    assert found.level_mm == pytest.approx(level, abs=1)
    assert found.tilted_mm >= found.level_mm


def test_a_piece_one_millimetre_longer_flips_the_verdict() -> None:
    route = (door(), corner())
    found = longest_piece(route, 648)

    def answer(length_mm: float) -> Answer:
        return check(make.piece(length_mm=length_mm, depth_mm=648), route).answer

    assert (answer(found.level_mm - 1), answer(found.level_mm + 1)) == (Answer.FITS, Answer.TILTED)
    assert answer(found.tilted_mm - 1) is Answer.TILTED
    assert answer(found.tilted_mm + 1) is Answer.TOO_LONG


def test_the_verdict_says_where_how_much_and_with_which_clearances() -> None:
    verdict = check(make.piece(length_mm=3000, depth_mm=648), (door(name="front door"), corner()))
    assert verdict.answer is Answer.TOO_LONG
    assert str(verdict).startswith(
        "does not fit at hall corner, 365 mm too much, passes in 2 parts with a seam at 1500 mm"
    )
    assert "40 mm beside each face, 30 mm at each end, 60 mm below, 40 mm above" in str(verdict)


def test_a_tilt_says_where_and_by_how_much() -> None:
    verdict = check(make.piece(length_mm=2500, depth_mm=648), (corner(),))
    (tilt,) = verdict.tilts
    assert (tilt.name, tilt.tilt) == ("hall corner", "pitch")
    assert "pitch of 46 deg at hall corner" in str(verdict)


def test_a_margin_below_50_mm_is_measured_again() -> None:
    route = (corner(),)
    longest = longest_piece(route, 648).tilted_mm
    near, far = (
        check(make.piece(length_mm=longest - gap, depth_mm=648), route) for gap in (49, 51)
    )
    assert (near.measure_again, far.measure_again) == (True, False)
    assert "measure again" in str(near)


@pytest.mark.parametrize(
    ("element", "missing"),
    [
        (door(width_mm=None), "width_mm"),
        (RouteElement(kind=RouteKind.HALL, width_mm=1100), "height_mm"),
        (corner(turn_deg=None), "turn_deg"),
        (corner(turn_deg=170), "two turns"),
        (stairs(headroom_mm=None), "headroom_mm"),
        (landing(pitch_deg=None), "pitch_deg"),
        (landing(turn_deg=None), "turn_deg of 90 or 180"),
        (lift(1600, 1400, door_mm=None), "door_mm"),
        (side_door(room_mm=None), "room_mm"),
        (side_door(length_mm=None), "length_mm"),
    ],
)
def test_what_was_not_measured_never_fits(element, missing) -> None:
    verdict = check(make.piece(length_mm=500, depth_mm=400), (door(), element))
    assert verdict.answer is Answer.NOT_MEASURED
    assert missing in verdict.missing[0]
    assert missing in longest_piece((element,), 400).missing[0]


def test_a_way_without_elements_or_sizes_says_that_nothing_is_measured() -> None:
    assert check(make.piece(), ()).answer is Answer.NOTHING_MEASURED
    path = RouteElement(kind=RouteKind.PATH, length_mm=9000)
    assert check(make.piece(), (path,)).answer is Answer.NOTHING_MEASURED
    assert check(make.piece(), (path, door())).answer is Answer.FITS


def test_a_search_that_found_more_than_the_formulas_counts() -> None:
    small = side_door(length_mm=4000, room_mm=2500, free_wall_mm=1000, wall_mm=120)
    ((place, room, wide_mm),) = side_rooms((small,), 30, Clearances())
    assert (place, wide_mm) == (0, 110)
    before = longest_piece((small,), 648).level_mm
    searched = {room.fingerprint(wide_mm): before + 560}
    assert longest_piece((small,), 648, searched=searched).level_mm == before + 500
    top = make.piece(length_mm=before + 300, depth_mm=648)
    assert check(top, (small,), searched=searched).answer is Answer.FITS
    other = {room.fingerprint(120): before + 560}
    assert longest_piece((small,), 648, searched=other).level_mm == before
    assert list(side_rooms((side_door(room_mm=None), corner(), door()), 30, Clearances())) == []


def test_a_piece_that_fails_elsewhere_does_not_wait_for_the_tape() -> None:
    verdict = check(make.piece(length_mm=4000), (corner(), corner(a=None, name="back corner")))
    assert verdict.answer is Answer.TOO_LONG
    assert verdict.missing


def test_an_unmeasured_free_wall_or_wall_lets_nothing_slide_in() -> None:
    full = longest_piece((side_door(),), 648).level_mm
    for name in ("free_wall_mm", "wall_mm"):
        assert longest_piece((side_door(**{name: None}),), 648).level_mm < full - 1000


def test_a_top_leans_under_a_low_door_and_not_under_a_lower_one() -> None:
    tall = make.piece(length_mm=2000, depth_mm=1000)
    assert check(tall, (door(height_mm=1150),)).answer is Answer.FITS
    leaning = check(tall, (door(height_mm=1050),))
    assert (leaning.answer, leaning.tilts[0].tilt) == (Answer.TILTED, "lean")
    low = check(tall, (door(height_mm=900),))
    assert (low.answer, low.margin_mm) == (Answer.TOO_LONG, -200)


def test_a_door_narrower_than_the_piece_admits_nothing() -> None:
    found = longest_piece((door(width_mm=100),), 648)
    assert (found.level_mm, found.tilted_mm) == (0, 0)


def test_a_short_leg_between_two_turns_limits_both() -> None:
    hall = RouteElement(kind=RouteKind.HALL, width_mm=914, height_mm=2438, length_mm=1500)
    near = (corner(), hall, corner(name="second corner"))
    assert longest_piece(near, 648).tilted_mm == 1440
    assert "second corner" in longest_piece(near, 648).tilted_at
    touching = longest_piece((corner(), corner(name="second corner")), 648)
    assert touching.missing == ("between hall corner and second corner: length_mm",)


def test_the_order_of_uncoupled_elements_does_not_matter() -> None:
    route = (door(), corner(), stairs(), lift(1600, 1400))
    ways = (longest_piece(route, 648), longest_piece(route[::-1], 648))
    assert len({(way.level_mm, way.tilted_mm) for way in ways}) == 1


def test_an_open_path_limits_nothing() -> None:
    path = RouteElement(kind=RouteKind.PATH, length_mm=9000)
    assert longest_piece((path,), 648).level_mm == inf


@settings(max_examples=40, deadline=None)
@given(
    length=st.floats(1500, 6000), depth=st.floats(300, 1200), a=st.floats(800, 1500),
    sink_at=st.floats(0.2, 0.8),
)  # fmt: skip
def test_every_proposed_part_passes(length, depth, a, sink_at) -> None:
    route = (door(), corner(a, a))
    holes = (make.sink(x_mm=length * sink_at, y_mm=depth / 2, width_mm=500, height_mm=200),)
    verdict = check(make.piece(length_mm=length, depth_mm=depth, cutouts=holes), route)
    for long, deep in verdict.parts_mm:
        part = make.piece(length_mm=long, depth_mm=deep)
        assert check(part, route).answer in (Answer.FITS, Answer.TILTED)
    assert all(abs(seam - holes[0].x_mm) >= 250 + 149 for seam in verdict.seams_mm)


def test_an_l_that_is_too_high_is_parted_at_its_inside_corner() -> None:
    piece = make.piece("L")
    whole = type(piece)(name="L", outline_mm=l_shape_mm(2200, 2200, 648, 648), thickness_mm=30)
    verdict = check(whole, (door(), corner()))
    assert verdict.answer is Answer.TOO_LONG
    assert (verdict.seams_mm, verdict.parts_mm) == ((648,), ((2200, 648), (1552, 648)))


def test_clearances_are_refused_below_zero() -> None:
    with pytest.raises(ValueError, match="side_mm is -1"):
        Clearances(side_mm=-1)
    with pytest.raises(ValueError, match="less than 90 degrees"):
        Clearances(most_pitch_deg=90)
