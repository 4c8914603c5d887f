"""Moves a rectangle past walls step by step and looks for collisions: an independent judge.

It knows nothing of the closed forms. Walls are convex polygons, a pose is a middle and an angle,
touching is no collision. Between two of its steps a plate moves by a few millimetres.
"""

from math import cos, hypot, pi, radians, sin, tan

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
FAR_MM = 1e5
TOUCH_MM = 1e-6


def box(left: float, right: float, low: float, high: float) -> Array:
    return np.array([[left, low], [right, low], [right, high], [left, high]], dtype=float)


def hits(poses: Array, long: float, wide: float, wall: Array) -> NDArray[np.bool_]:
    """Which poses collide with a wall, by separating axes."""
    x, y, angle = poses.T
    along = np.stack([np.cos(angle), np.sin(angle)], 1)
    across = np.stack([-np.sin(angle), np.cos(angle)], 1)
    apart = np.zeros(len(poses), dtype=bool)
    for axis, half in ((along, long / 2), (across, wide / 2)):
        spots = axis @ wall.T
        here = axis[:, 0] * x + axis[:, 1] * y
        apart |= spots.min(1) >= here + half - TOUCH_MM
        apart |= spots.max(1) <= here - half + TOUCH_MM
    for start, end in zip(wall, np.roll(wall, -1, axis=0), strict=True):
        ex, ey = end - start
        nx, ny = ey / hypot(ex, ey), -ex / hypot(ex, ey)
        reach = long / 2 * abs(along @ [nx, ny]) + wide / 2 * abs(across @ [nx, ny])
        apart |= nx * x + ny * y - reach >= nx * start[0] + ny * start[1] - TOUCH_MM
    return ~apart


def any_hit(poses: Array, long: float, wide: float, walls: list[Array]) -> bool:
    return any(hits(poses, long, wide, wall).any() for wall in walls)


def pushed(angles: Array, long: float, wide: float, normals: tuple[Array, Array]) -> Array:
    """Poses that touch two lines through the origin; the normals point to the free side."""
    reach = [
        long / 2 * abs(np.cos(angles) * n[0] + np.sin(angles) * n[1])
        + wide / 2 * abs(-np.sin(angles) * n[0] + np.cos(angles) * n[1])
        for n in normals
    ]
    middles = np.linalg.solve(np.stack(normals), np.stack(reach))
    return np.stack([middles[0], middles[1], angles], 1)


def round_a_corner(a: float, b: float, turn_deg: float, long: float, wide: float) -> bool:
    """Whether a plate turns from corridor to corridor, pushed into the outer corner all the way.

    It decides: where the pushed plate collides with the inner wedge, every other place at that
    angle does, since the wedge opens along the same two directions.
    """
    turn = radians(turn_deg)
    gape = pi - turn
    corner = np.array([(b + a * cos(gape)) / sin(gape), a])
    ends = corner + FAR_MM * np.array([[1, 0], [cos(gape), sin(gape)]])
    wedge = np.array([corner, ends[0], ends[1]])
    normals = (np.array([0.0, 1.0]), np.array([sin(gape), -cos(gape)]))
    angles = pi - np.linspace(0, turn, 3001)[1:-1]
    return not any_hit(pushed(angles, long, wide, normals), long, wide, [wedge])


def up_the_foot(foot: float, headroom: float, pitch_deg: float, long: float, high: float) -> bool:
    """Whether a plate goes from the floor onto a flight, seen from the side."""
    slope = tan(radians(pitch_deg))
    bend = (foot - headroom) / slope
    far = FAR_MM
    ceiling = box(-far, bend, foot, 3 * far)
    over = np.array(
        [[bend, foot], [far, foot + (far - bend) * slope], [far, 3 * far], [bend, 3 * far]]
    )
    pitch = radians(pitch_deg)
    normals = (np.array([0.0, 1.0]), np.array([-sin(pitch), cos(pitch)]))
    angles = np.linspace(0, pitch, 2001)[1:-1]
    return not any_hit(pushed(angles, long, high, normals), long, high, [ceiling, over])


def in_by_the_side(
    hall: float, door: float, wall: float, room: tuple[float, float], plate: tuple[float, float],
    angle: float,
) -> bool:  # fmt: skip
    """Whether a plate slides out of a hall through a door in its side, into a room.

    Its tip rises in the doorway along the far jamb, then it slides on at this angle.
    """
    (long, wide), (along, deep) = plate, room
    top = hall + wall
    walls = [
        box(-FAR_MM, FAR_MM, -FAR_MM, 0), box(-FAR_MM, 0, hall, top), box(door, FAR_MM, hall, top),
        box(-FAR_MM, FAR_MM, top + deep, FAR_MM), box(door + along, FAR_MM, top, FAR_MM),
    ]  # fmt: skip
    rising = np.linspace(0, hall, 1500)
    passing = np.linspace(hall, top, 800)
    gap = np.hypot(door, passing - hall)
    needed = np.arcsin(np.minimum(1, wide / gap)) + np.arctan2(passing - hall, door)
    first = np.minimum(np.arcsin(np.minimum(1, rising / long)), angle)
    sliding = np.linspace(0, long, 2000)
    tips = np.concatenate([
        np.stack([np.full_like(rising, door), rising, first], 1),
        np.stack([np.full_like(passing, door), passing, np.maximum(needed, first[-1])], 1),
        np.stack([door + sliding * cos(angle), top + sliding * sin(angle), 0 * sliding + angle], 1),
    ])  # fmt: skip
    x, y, turned = tips.T
    middles = np.stack([
        x - long / 2 * np.cos(turned) - wide / 2 * np.sin(turned),
        y - long / 2 * np.sin(turned) + wide / 2 * np.cos(turned),
        turned,
    ], 1)  # fmt: skip
    return not any_hit(middles, long, wide, walls)


def cab_walls(width: float, depth: float, door: float, beside: float, wall: float) -> list[Array]:
    """A lift's cab, seen from above; its front at y = 0, the narrower front wall on the left."""
    return [
        box(-FAR_MM, 0, 0, FAR_MM), box(width, FAR_MM, 0, FAR_MM),
        box(-FAR_MM, FAR_MM, depth, FAR_MM), box(-FAR_MM, beside, -wall, 0),
        box(beside + door, FAR_MM, -wall, 0),
    ]  # fmt: skip


def into_the_cab(
    width: float, depth: float, door: float, beside: float, plate: tuple[float, float]
) -> bool:
    """Whether a strip goes in, its rear corner along the jamb, its tip along the back."""
    long, wide = plate
    rear, rears, leans = -long - 300.0, [], []
    lean = 0.0
    for rear in np.linspace(-long, depth, 6000):
        need = (depth - rear) / long
        lean = max(lean, float(np.arccos(need)) if need < 1 else 0.0)
        rears.append(rear)
        leans.append(lean)
        if rear >= wide * sin(lean) - 1e-9:
            break
    x = beside + np.array(leans) * 0
    y, turned = np.array(rears), np.array(leans)
    poses = np.stack([
        x + long / 2 * np.sin(turned) + wide / 2 * np.cos(turned),
        y + long / 2 * np.cos(turned) - wide / 2 * np.sin(turned),
        pi / 2 - turned,
    ], 1)  # fmt: skip
    is_inside = rears[-1] >= wide * sin(leans[-1]) - 1e-9
    return is_inside and not any_hit(poses, long, wide, cab_walls(width, depth, door, beside, 150))


def straight_into_the_cab(
    cab: tuple[float, float], door: float, beside: float, wall: float, plate: tuple[float, float]
) -> bool:
    """Whether there is an angle at which a strip slides in without turning, wholly inside."""
    long, wide = plate
    walls = cab_walls(*cab, door, beside, wall)
    for lean in np.radians(np.arange(0, 80, 0.25)):
        left = beside + wall * tan(lean) + 1e-3  # where its left side crosses the front
        rear = wide * sin(lean)
        slid = np.linspace(rear - long, rear, 60)
        x = left + slid * tan(lean)
        poses = np.stack([
            x + long / 2 * sin(lean) + wide / 2 * cos(lean),
            slid + long / 2 * cos(lean) - wide / 2 * sin(lean),
            0 * slid + pi / 2 - lean,
        ], 1)  # fmt: skip
        if not any_hit(poses, long, wide, walls):
            return True
    return False


def under_the_head(
    plan: float, under: float, inside: float, pitch_deg: float, plate: tuple[float, float]
) -> bool:
    """Whether a plate pitches behind a door's head, against the far wall, and is then inside."""
    long, high = plate
    head = box(-150, 0, under, FAR_MM)
    angles = np.linspace(0, radians(pitch_deg), 2000)
    normals = (np.array([0.0, 1.0]), np.array([-1.0, 0.0]))
    poses = pushed(angles, long, high, normals)
    poses[:, 2] = angles
    poses[:, 0] += plan
    ceiling = box(0, FAR_MM, inside, FAR_MM)
    ends_at = poses[-1, 0] - long / 2 * cos(angles[-1]) - high / 2 * sin(angles[-1])
    return bool(ends_at >= -1e-3) and not any_hit(poses, long, high, [head, ceiling])
