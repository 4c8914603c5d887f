"""Doors that a plate does not pass straight: one in the side of a hall, and that of a lift."""

from dataclasses import replace
from math import acos, atan2, cos, hypot, inf, pi, sin, tan

from crewjobs.domain.access import shapes as lengths
from crewjobs.domain.drawings.places import WALL_MM, Plate, Scene, block, corner, rectangle
from crewjobs.domain.drawings.shapes import Corners
from crewjobs.domain.facts import Point

TRIES = 60
"""Turns, and places, that are tried in a side door."""


def side_door(sizes: dict[str, float], plate: Plate) -> Scene:
    """A door in the side of a hall: round its jamb, or slid in along the wall."""
    hall, door = sizes["hall_mm"], sizes["width_mm"]
    wall = sizes.get("wall_mm", WALL_MM)
    long, wide = plate.strip_mm
    round_jamb = min(
        lengths.corner_mm(hall, door, wide, turn_deg=sizes["turn_deg"]),
        sizes["length_mm"], sizes["room_mm"],
    )  # fmt: skip
    can_slide = sizes["turn_deg"] == 90 and {"wall_mm", "free_wall_mm"} <= sizes.keys()
    if long <= round_jamb or not can_slide:
        scene = corner(hall, door, sizes["turn_deg"], plate)
        return replace(scene, walls=_jambs(scene, door, hall, wall)) if can_slide else scene
    _, angle = lengths.slide_in(hall, door, wall, wide)
    middle, angle = _through(sizes, (long, wide), angle)
    carried, kept = (
        rectangle(middle, angle, *size) for size in ((plate.plan_mm, plate.wide_mm), (long, wide))
    )
    left = min(0.0, *(x for x, _ in kept)) - WALL_MM
    top, right = hall + wall, door + sizes["free_wall_mm"]
    return Scene(
        view="from above",
        walls=(*_door_walls(sizes, left), block(right, right + WALL_MM, hall, top + WALL_MM * 4)),
        carried=carried,
        kept=kept,
        measures=(
            ((left + WALL_MM, 0.0), (left + WALL_MM, hall)),
            ((0.0, top + 2 * WALL_MM), (door, top + 2 * WALL_MM)),
        ),
    )


def _door_walls(sizes: dict[str, float], left_mm: float) -> tuple[Corners, ...]:
    """The hall's far wall and the wall with the door."""
    hall, door = sizes["hall_mm"], sizes["width_mm"]
    top, right = hall + sizes["wall_mm"], door + sizes["free_wall_mm"]
    return (
        block(left_mm, right, -WALL_MM, 0), block(left_mm, 0, hall, top),
        block(door, right, hall, top),
    )  # fmt: skip


def _through(
    sizes: dict[str, float], strip: tuple[float, float], slide_rad: float
) -> tuple[Point, float]:
    """Middle and angle of a strip in a side door: at the angle at which it slides, tip at the jamb.

    A longer one than slides through so is turned further, its side at the far jamb and as little of
    it in the room as the hall lets it, where a free pose like this was found.
    """
    long, wide = strip
    top = sizes["hall_mm"] + sizes["wall_mm"]
    right, far = sizes["width_mm"] + sizes["free_wall_mm"], top + sizes["room_mm"]

    def pose(angle_rad: float, in_room_share: float) -> tuple[Point, float]:
        ahead = long * (in_room_share - 0.5)
        x = sizes["width_mm"] + ahead * cos(angle_rad) - wide / 2 * sin(angle_rad)
        return (x, top + ahead * sin(angle_rad) + wide / 2 * cos(angle_rad)), angle_rad

    def is_free(found: tuple[Point, float]) -> bool:
        corners = rectangle(*found, long, wide)
        is_in_hall = min(y for _, y in corners) >= 0
        return is_in_hall and all(x <= right and y <= far for x, y in corners)

    tries = (
        pose(slide_rad + (pi / 2 - slide_rad) * turn / TRIES, share / TRIES)
        for turn in range(TRIES + 1)
        for share in range(TRIES + 1)
    )
    return next((each for each in tries if is_free(each)), pose(slide_rad, 0.0))


def _jambs(scene: Scene, door_mm: float, hall_mm: float, wall_mm: float) -> tuple[Corners, ...]:
    """The hall and its door; no wall beyond its thickness."""
    right = max(x for wall in scene.walls for x, _ in wall)
    top = hall_mm + wall_mm
    left = -4 * WALL_MM
    return (
        block(left, right, -WALL_MM, 0), block(left, 0, hall_mm, top),
        block(door_mm, right, hall_mm, top),
    )  # fmt: skip


def lift(sizes: dict[str, float], plate: Plate) -> Scene:
    """A lift's cab from above, the plate in it: slanting, or as it slid in without turning."""
    width, depth, door = sizes["width_mm"], sizes["depth_mm"], sizes["door_mm"]
    wall = sizes.get("wall_mm", plate.clearances.lift_wall_mm)
    beside = min(sizes.get("return_mm", inf), max(0.0, width - door) / 2)
    long, wide = plate.strip_mm
    if plate.pitch_deg:
        middle, angle = _slid_in(depth, (long, wide), beside, wall)
    else:
        middle, angle = _slanting((width - beside, depth), (long, wide), beside)
    return Scene(
        view="from above",
        walls=(
            block(-WALL_MM, 0, 0, depth + WALL_MM),
            block(width, width + WALL_MM, 0, depth + WALL_MM),
            block(0, width, depth, depth + WALL_MM), block(-WALL_MM, beside, -wall, 0),
            block(beside + door, width + WALL_MM, -wall, 0),
        ),
        carried=rectangle(middle, angle, plate.plan_mm, plate.wide_mm),
        kept=rectangle(middle, angle, long, wide),
        measures=(
            ((0.0, depth + 2 * WALL_MM), (width, depth + 2 * WALL_MM)),
            ((-2 * WALL_MM, 0.0), (-2 * WALL_MM, depth)),
            ((beside, -wall - WALL_MM), (beside + door, -wall - WALL_MM)),
        ),
    )  # fmt: skip


def _slanting(
    room: tuple[float, float], strip: tuple[float, float], beside_mm: float
) -> tuple[Point, float]:
    """Lying in the cab beyond its narrower front wall, as straight as its depth lets it."""
    (span, depth), (long, wide) = room, strip

    def over_mm(lean_rad: float) -> float:
        across = long * sin(lean_rad) + wide * cos(lean_rad)
        deep = long * cos(lean_rad) + wide * sin(lean_rad)
        return max(across - span, deep - depth)

    lean = _least_lean_rad(long, wide, depth)
    if over_mm(lean) > 0 >= over_mm(pi / 2):
        lean = pi / 2
    middle = (
        beside_mm + (long * sin(lean) + wide * cos(lean)) / 2,
        depth - (long * cos(lean) + wide * sin(lean)) / 2,
    )
    return middle, pi / 2 - lean


def _least_lean_rad(long_mm: float, wide_mm: float, depth_mm: float) -> float:
    """The least lean at which a strip is no deeper than the cab."""
    if long_mm <= depth_mm:
        return 0.0
    diagonal = hypot(long_mm, wide_mm)
    return acos(min(1.0, depth_mm / diagonal)) + atan2(wide_mm, long_mm)


def _slid_in(
    depth_mm: float, strip: tuple[float, float], beside_mm: float, wall_mm: float
) -> tuple[Point, float]:
    """As it slid in along the outer jamb, its rear just behind the front."""
    long, wide = strip
    lean = _least_lean_rad(long, wide, depth_mm)
    left, rear = beside_mm + wall_mm * tan(lean), wide * sin(lean)
    middle = (
        left + rear * tan(lean) + long / 2 * sin(lean) + wide / 2 * cos(lean),
        rear + long / 2 * cos(lean) - wide / 2 * sin(lean),
    )
    return middle, pi / 2 - lean
