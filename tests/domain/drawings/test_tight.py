"""The tightest place: what fits touches no wall that is drawn, what does not fit does."""

from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, inf, radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from crewjobs.domain import access, drawings
from crewjobs.domain.access import Answer, Verdict, shapes
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.drawings import Role, doors, places
from crewjobs.domain.drawings.shapes import Corners
from crewjobs.domain.drawings.tight import FREE
from crewjobs.domain.facts import Piece, RouteElement, RouteKind
from tests import make
from tests.domain.drawings.lettered import PLAIN, polygons, texts

TOUCH_MM = 0.01
widths = st.floats(700, 1800)
lengths = st.floats(800, 3600)
depths = st.floats(300, 1300)


def overlap_mm(first: Corners, second: Corners) -> float:
    """How far two convex shapes lie in each other, by separating axes."""
    least = inf
    for shape in (first, second):
        for (ax, ay), (bx, by) in pairwise((*shape, shape[0])):
            long = hypot(bx - ax, by - ay)
            nx, ny = (by - ay) / long, (ax - bx) / long
            near, far = ([x * nx + y * ny for x, y in each] for each in (first, second))
            least = min(least, max(near) - min(far), max(far) - min(near))
    return least


def hits_mm(drawing: drawings.Drawing, role: Role) -> float:
    """How far anything of this role lies in a wall; the views stand apart."""
    return max(
        overlap_mm(shape.corners_mm, wall.corners_mm)
        for shape in polygons(drawing, role)
        for wall in polygons(drawing, Role.WALL)
    )


def drawn(piece: Piece, *route: RouteElement) -> tuple[Verdict, drawings.Drawing]:
    verdict = access.check(piece, route)
    found = drawings.tightest(piece, route, verdict, PLAIN)
    assert found is not None
    return verdict, found


def is_right(piece: Piece, *route: RouteElement) -> None:
    verdict, found = drawn(piece, *route)
    if verdict.answer is not Answer.TOO_LONG:
        assert hits_mm(found, Role.CARRIED) <= TOUCH_MM
        assert hits_mm(found, Role.CLEARANCE) <= TOUCH_MM
    else:
        assert hits_mm(found, Role.CLEARANCE) > 0 or FREE in texts_joined(found)


def texts_joined(drawing: drawings.Drawing) -> str:
    return drawing.description.lower()


@given(a=widths, b=widths, turn=st.floats(30, 140), long=lengths, deep=depths,
       height=st.floats(1000, 2800))  # fmt: skip
def test_round_a_corner(a, b, turn, long, deep, height):
    element = RouteElement(
        kind=RouteKind.TURN, width_mm=a, depth_mm=b, height_mm=height, turn_deg=turn
    )
    is_right(make.piece("A", long, deep), element)


@given(width=st.floats(60, 1200), height=st.floats(300, 2200), long=lengths, deep=depths)
def test_through_an_opening(width, height, long, deep):
    element = RouteElement(kind=RouteKind.DOOR, width_mm=width, height_mm=height)
    is_right(make.piece("A", long, deep), element)


@given(hall=widths, door=st.floats(650, 1000), wall=st.floats(80, 250), long=lengths, deep=depths,
       run=st.floats(2000, 5000), room=st.floats(1500, 5000), height=st.floats(1900, 2100),
       is_wall_known=st.booleans())  # fmt: skip
def test_through_a_side_door(hall, door, wall, long, deep, run, room, height, is_wall_known):
    more = {"wall_mm": wall, "free_wall_mm": run} if is_wall_known else {}
    element = RouteElement(
        kind=RouteKind.DOOR, width_mm=door, height_mm=height, hall_mm=hall, room_mm=room,
        length_mm=run, turn_deg=90, **more,
    )  # fmt: skip
    is_right(make.piece("A", long, deep), element)


@given(height=st.floats(2000, 2700), less=st.floats(50, 700), pitch=st.floats(25, 45),
       width=st.floats(600, 1200), long=st.floats(800, 6000), deep=depths)  # fmt: skip
def test_up_the_stairs(height, less, pitch, width, long, deep):
    element = RouteElement(
        kind=RouteKind.STAIRS, width_mm=width, height_mm=height, headroom_mm=height - less,
        pitch_deg=pitch, steps=14,
    )  # fmt: skip
    is_right(make.piece("A", long, deep), element)


@given(width=widths, depth=widths, turn=st.sampled_from([90.0, 180.0]), pitch=st.floats(25, 42),
       gap=st.floats(5, 400), long=lengths, deep=depths)  # fmt: skip
def test_over_a_landing(width, depth, turn, pitch, gap, long, deep):
    element = RouteElement(
        kind=RouteKind.LANDING, width_mm=width, depth_mm=depth, height_mm=2400, turn_deg=turn,
        pitch_deg=pitch, gap_mm=gap,
    )  # fmt: skip
    is_right(make.piece("A", long, deep), element)


@given(width=st.floats(900, 2500), depth=st.floats(900, 2500), door=st.floats(600, 1200),
       share=st.floats(0, 1), long=lengths, deep=depths, height=st.floats(2000, 2500))  # fmt: skip
def test_into_a_lift(width, depth, door, share, long, deep, height):
    assume(door <= width)
    element = RouteElement(
        kind=RouteKind.LIFT, width_mm=width, depth_mm=depth, height_mm=height, door_mm=door,
        door_height_mm=height - 150, return_mm=max(1.0, share * (width - door) / 2),
    )  # fmt: skip
    is_right(make.piece("A", long, deep), element)


@given(leg=st.floats(900, 4000), long=lengths)
def test_between_two_turns(leg, long):
    turn = RouteElement(
        kind=RouteKind.TURN, width_mm=3000, depth_mm=3000, height_mm=2600, turn_deg=90
    )
    hall = RouteElement(kind=RouteKind.HALL, width_mm=3000, height_mm=2600, length_mm=leg)
    is_right(make.piece("A", long, 600), turn, hall, turn)


def test_a_piece_that_is_tilted_is_seen_from_the_side_too_and_told():
    corner = RouteElement(kind=RouteKind.TURN, name="hall corner", width_mm=1067, depth_mm=914,
                          height_mm=2438, turn_deg=90)  # fmt: skip
    verdict, found = drawn(make.piece("A", 2750, 648), corner)
    assert verdict.answer is Answer.TILTED
    assert {"from above", "from the side"} <= set(texts(found))
    assert f"A at hall corner: {verdict.margin_mm:.0f} to spare, measure again" in texts(found)
    assert any("one end up by 42°" in text for text in texts(found))
    assert "42 to spare" in found.description
    above, side = polygons(found, Role.CARRIED)
    (ax, ay), (bx, by), *_ = above.corners_mm
    assert verdict.tightest is not None
    pitch = radians(verdict.tightest.tilt_deg)
    plan_mm = 2750 * cos(pitch) + 648 * sin(pitch)
    assert hypot(bx - ax, by - ay) == pytest.approx(plan_mm)
    (ax, ay), (bx, by), *_ = side.corners_mm
    assert hypot(bx - ax, by - ay) == pytest.approx(2750)


def test_where_the_strip_is_nearest_is_where_the_closed_form_says():
    """By hand: halls alike, a strip at 45 degrees; the corner is sqrt(2) a - L / 2 off its side."""
    middle, angle = places.pushed(90, (1000, 1000), 2600, 100)
    reach = (2600 + 100) / 2 / 2**0.5
    assert angle == pytest.approx(3.14159265 * 0.75, abs=0.01)
    assert middle == pytest.approx((reach, reach), abs=10)


def test_nothing_is_drawn_where_nothing_bounds_it_or_nothing_was_measured():
    path = RouteElement(kind=RouteKind.PATH, length_mm=9000)
    door = RouteElement(kind=RouteKind.DOOR, width_mm=800)
    for route in ((), (path,), (door,)):
        piece = make.piece()
        assert drawings.tightest(piece, route, access.check(piece, route), PLAIN) is None


def test_it_says_where_the_room_decides_and_not_the_door():
    door = RouteElement(kind=RouteKind.DOOR, name="side door", width_mm=900, height_mm=2030,
                        hall_mm=1200, room_mm=1500, length_mm=4000, turn_deg=90)  # fmt: skip
    _, found = drawn(make.piece("A", 1400, 648), door)
    assert "the free depth of the room decides" in texts(found)
    _, found = drawn(make.piece("A", 1400, 648), replace(door, room_mm=5000))
    assert "the free depth of the room decides" not in texts(found)


def test_a_landing_that_is_too_low_shows_the_piece_in_its_ceiling():
    low = RouteElement(kind=RouteKind.LANDING, width_mm=1500, depth_mm=1500, height_mm=2000,
                       turn_deg=90, pitch_deg=40)  # fmt: skip
    verdict, found = drawn(make.piece("A", 2600, 600), low)
    assert verdict.answer is Answer.TOO_LONG
    assert {"from above", "from the side"} <= set(texts(found))
    assert hits_mm(found, Role.CARRIED) > 0
    assert FREE not in found.description.lower()


@given(hall=widths, door=st.floats(650, 1000), wall=st.floats(80, 250), long=lengths,
       room=st.floats(1500, 5000), free=st.floats(500, 3000))  # fmt: skip
def test_in_a_side_door_the_strip_is_free_or_no_longer_slides(hall, door, wall, long, room, free):
    sizes = {"hall_mm": hall, "width_mm": door, "wall_mm": wall, "room_mm": room,
             "free_wall_mm": free, "length_mm": 9000.0, "turn_deg": 90.0}  # fmt: skip
    plate = places.Plate(long_mm=long, high_mm=600, thick_mm=30, clearances=Clearances())
    scene = doors.side_door(sizes, plate)
    slides_mm, _ = shapes.slide_in(hall, door, wall, plate.strip_mm[1])
    if plate.strip_mm[0] <= slides_mm:
        assert max(overlap_mm(scene.kept, w) for w in scene.walls) <= TOUCH_MM or (
            max(x for x, _ in scene.kept) > door + free
        )


def test_a_strip_too_long_to_slide_is_turned_further_where_the_room_is_deep():
    """By hand: a hall 1500, a door 1000 in a wall of 100, a room 4000 deep; a strip of 3000."""
    sizes = {"hall_mm": 1500.0, "width_mm": 1000.0, "wall_mm": 100.0, "room_mm": 4000.0,
             "free_wall_mm": 3000.0, "length_mm": 9000.0, "turn_deg": 90.0}  # fmt: skip
    middle, angle = doors._through(sizes, (9000, 110), 0.2)
    assert angle == 0.2
    middle, angle = doors._through(sizes, (5000, 110), 0.2)
    strip = places.rectangle(middle, angle, 5000, 110)
    assert min(y for _, y in strip) >= 0
    assert max(y for _, y in strip) <= 5600
