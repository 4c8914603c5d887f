"""The tight places of a way in, with a plate in them where it is tightest: plane geometry.

A plate is drawn with the strip that is kept free around it, pushed as far out of the way as the
walls allow. What was not measured is not drawn: a hall is drawn no longer than the plate needs it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import atan2, cos, inf, pi, radians, sin, tan

from crewjobs.domain.access import shapes as lengths
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.drawings.shapes import Corners
from crewjobs.domain.facts import Point, RouteElement

WALL_MM = 100.0
"""How thick a wall is drawn where nobody measured it."""
ALONG = "seen along the way"
RISE_MM = 180.0
"""Of the steps that are drawn; the model knows only their pitch."""
ANGLES = 720
"""Poses that are tried around a corner."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Plate:
    """A piece on edge, level or tilted, and what is kept free around it."""

    long_mm: float
    high_mm: float
    thick_mm: float
    clearances: Clearances
    pitch_deg: float = 0.0
    lean_deg: float = 0.0

    @property
    def plan_mm(self) -> float:
        """How long it is, seen from above."""
        pitch = radians(self.pitch_deg)
        return self.long_mm * cos(pitch) + self.high_mm * sin(pitch)

    @property
    def tall_mm(self) -> float:
        """How high it is, across its own length."""
        lean = radians(self.lean_deg)
        return self.high_mm * cos(lean) + self.thick_mm * sin(lean)

    @property
    def wide_mm(self) -> float:
        """How wide it is, seen along its length."""
        lean = radians(self.lean_deg)
        return self.high_mm * sin(lean) + self.thick_mm * cos(lean)

    @property
    def strip_mm(self) -> tuple[float, float]:
        """Length and width, seen from above, with what is kept free."""
        kept = self.clearances
        return self.plan_mm + 2 * kept.end_mm, self.wide_mm + 2 * kept.side_mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Scene:
    """A place with a plate in it, from one side."""

    view: str
    walls: tuple[Corners, ...]
    """Each convex."""
    carried: Corners
    kept: Corners
    """The plate with what is kept free around it."""
    measures: tuple[tuple[Point, Point], ...] = ()
    steps: Corners = ()


def rectangle(middle: Point, angle_rad: float, long_mm: float, wide_mm: float) -> Corners:
    """A rectangle by its middle and the angle of its longer side."""
    across, up = cos(angle_rad), sin(angle_rad)
    return tuple(
        (middle[0] + x * across - y * up, middle[1] + x * up + y * across)
        for x, y in (
            (-long_mm / 2, -wide_mm / 2), (long_mm / 2, -wide_mm / 2),
            (long_mm / 2, wide_mm / 2), (-long_mm / 2, wide_mm / 2),
        )
    )  # fmt: skip


def _band(start: Point, along: Point, across: Point) -> Corners:
    """A parallelogram."""
    (x, y), (ax, ay), (bx, by) = start, along, across
    return (x, y), (x + ax, y + ay), (x + ax + bx, y + ay + by), (x + bx, y + by)


def _times(vector: Point, factor: float) -> Point:
    return vector[0] * factor, vector[1] * factor


def block(left_mm: float, right_mm: float, low_mm: float, high_mm: float) -> Corners:
    """An upright rectangle."""
    return (left_mm, low_mm), (right_mm, low_mm), (right_mm, high_mm), (left_mm, high_mm)


def opening(width_mm: float, height_mm: float, plate: Plate) -> Scene:
    """A door, hall or cab's door, seen along the way; infinite where it was not measured."""
    kept = plate.clearances
    is_wide, is_high = width_mm < inf, height_mm < inf
    strip = plate.wide_mm + 2 * kept.side_mm
    right = width_mm if is_wide else strip + 4 * WALL_MM
    top = height_mm if is_high else plate.tall_mm + kept.lift_mm + kept.head_mm + 2 * WALL_MM
    walls = [block(-WALL_MM, right + WALL_MM, -WALL_MM, 0)]
    if is_wide:
        walls += [block(-WALL_MM, 0, 0, top), block(right, right + WALL_MM, 0, top)]
    if is_high:
        walls.append(block(-WALL_MM, right + WALL_MM, top, top + WALL_MM))
    middle, lean = right / 2, radians(plate.lean_deg)
    centre = middle, kept.lift_mm + plate.tall_mm / 2
    measures = [((0.0, -4 * WALL_MM), (right, -4 * WALL_MM))] if is_wide else []
    if is_high:
        measures.append(((-2 * WALL_MM, 0.0), (-2 * WALL_MM, top)))
    return Scene(
        view=ALONG,
        walls=tuple(walls),
        carried=rectangle(centre, pi / 2 - lean, plate.high_mm, plate.thick_mm),
        kept=block(
            middle - strip / 2, middle + strip / 2,
            0, plate.tall_mm + kept.lift_mm + kept.head_mm,
        ),
        measures=tuple(measures),
    )  # fmt: skip


def under_a_ceiling(height_mm: float, plate: Plate) -> Scene:
    """A pitched plate between floor and ceiling, from the side."""
    kept, pitch = plate.clearances, radians(plate.pitch_deg)
    high = plate.long_mm * sin(pitch) + plate.high_mm * cos(pitch)
    long = plate.plan_mm
    top = kept.lift_mm + high + kept.head_mm
    ends = kept.end_mm
    return Scene(
        view="from the side",
        walls=(
            block(-2 * ends - WALL_MM, long + 2 * ends + WALL_MM, -WALL_MM, 0),
            block(-2 * ends - WALL_MM, long + 2 * ends + WALL_MM, height_mm, height_mm + WALL_MM),
        ),
        carried=rectangle((long / 2, kept.lift_mm + high / 2), pitch, plate.long_mm, plate.high_mm),
        kept=block(-ends, long + ends, 0, top),
        measures=(((-3 * WALL_MM, 0.0), (-3 * WALL_MM, height_mm)),),
    )


def pushed(turn_deg: float, apex: Point, long_mm: float, wide_mm: float) -> tuple[Point, float]:
    """Middle and angle of a strip against both outer walls, where the inner corner is nearest.

    The outer walls meet at the origin, one along x, the other 180 degrees less the turn from it.
    """
    gape_rad = pi - radians(turn_deg)
    normal = sin(gape_rad), -cos(gape_rad)

    def pose(angle_rad: float) -> tuple[float, Point]:
        along = cos(angle_rad), sin(angle_rad)
        across = -along[1], along[0]

        def reach_mm(way: Point) -> float:
            ends = abs(along[0] * way[0] + along[1] * way[1]) * long_mm / 2
            return ends + abs(across[0] * way[0] + across[1] * way[1]) * wide_mm / 2

        up = reach_mm((0, 1))
        right = (reach_mm(normal) - normal[1] * up) / normal[0]
        dx, dy = apex[0] - right, apex[1] - up
        beyond = abs(dx * along[0] + dy * along[1]) - long_mm / 2
        beside = abs(dx * across[0] + dy * across[1]) - wide_mm / 2
        return max(beyond, beside), (right, up)

    angles = [pi - radians(turn_deg) * step / ANGLES for step in range(1, ANGLES)]
    angle = min(angles, key=lambda each: pose(each)[0])
    return pose(angle)[1], angle


def corner(first_mm: float, second_mm: float, turn_deg: float, plate: Plate) -> Scene:
    """A corner from a hall of one width into one of another, from above."""
    long, wide = plate.strip_mm
    gape_rad = pi - radians(turn_deg)
    apex = _apex(first_mm, second_mm, gape_rad)
    middle, angle = pushed(turn_deg, apex, long, wide)
    return Scene(
        view="from above",
        walls=_corner_walls(apex, gape_rad, 0.62 * long),
        carried=rectangle(middle, angle, plate.plan_mm, plate.wide_mm),
        kept=rectangle(middle, angle, long, wide),
        measures=_across(first_mm, second_mm, apex, gape_rad, 0.5 * long),
    )


def _apex(first_mm: float, second_mm: float, gape_rad: float) -> Point:
    """The inner corner."""
    return (second_mm + first_mm * cos(gape_rad)) / sin(gape_rad), first_mm


def _corner_walls(apex: Point, gape_rad: float, reach_mm: float) -> tuple[Corners, ...]:
    """The outer walls with their corner, and both faces of the inner one."""
    u, v = (1.0, 0.0), (cos(gape_rad), sin(gape_rad))
    below, beyond = (0.0, -WALL_MM), (-WALL_MM * sin(gape_rad), WALL_MM * cos(gape_rad))
    outer_u = apex[0] + reach_mm
    outer_v = apex[0] * v[0] + apex[1] * v[1] + reach_mm
    return (
        _band((0, 0), _times(u, outer_u), below),
        _band((0, 0), _times(v, outer_v), beyond),
        ((0, 0), below, beyond),
        _band(apex, _times(u, reach_mm), _times(v, WALL_MM)),
        _band(apex, _times(v, reach_mm), _times(u, WALL_MM)),
    )


def _across(
    first_mm: float, second_mm: float, apex: Point, gape_rad: float, reach_mm: float
) -> tuple[tuple[Point, Point], ...]:
    """The widths of both halls, measured across them, away from the corner."""
    foot = apex[0] + reach_mm, 0.0
    inner = apex[0] + reach_mm * cos(gape_rad), apex[1] + reach_mm * sin(gape_rad)
    outer = inner[0] - second_mm * sin(gape_rad), inner[1] + second_mm * cos(gape_rad)
    return (foot, (foot[0], first_mm)), (outer, inner)


def stairs(element: RouteElement, plate: Plate) -> Scene:
    """The foot of a flight from the side; the corner under the ceiling is the inner one."""
    pitch = element.pitch_deg or 0.0
    kept = plate.clearances
    height = element.height_mm or 0.0
    slope = (element.headroom_mm or 0.0) * cos(radians(pitch))
    long = plate.long_mm + 2 * kept.end_mm
    tall = plate.tall_mm + kept.lift_mm + kept.head_mm
    gape_rad = pi - radians(pitch)
    apex = _apex(height, slope, gape_rad)
    middle, angle = pushed(pitch, apex, long, tall)
    lowest = (kept.lift_mm - kept.head_mm) / 2
    inner = middle[0] + lowest * sin(angle), middle[1] - lowest * cos(angle)
    reach = 0.62 * long
    walls = list(_corner_walls(apex, gape_rad, reach))
    going = RISE_MM / tan(radians(pitch))
    walls[0] = _band((-going, 0), (going + apex[0] + reach, 0.0), (0.0, -WALL_MM))
    out = apex[0] * cos(gape_rad) + apex[1] * sin(gape_rad) + reach
    under = RISE_MM * cos(radians(pitch))
    walls[1] = _band(
        (-under * sin(gape_rad), under * cos(gape_rad)),
        _times((cos(gape_rad), sin(gape_rad)), out),
        (-WALL_MM * sin(gape_rad), WALL_MM * cos(gape_rad)),
    )
    scene = Scene(
        view="from the side",
        walls=(walls[0], walls[1], *walls[3:]),
        carried=rectangle(inner, angle, plate.long_mm, plate.tall_mm),
        kept=rectangle(middle, angle, long, tall),
        measures=_heights(element, apex, gape_rad, reach),
        steps=_steps(out, gape_rad),
    )
    return _mirrored(scene)


def _heights(
    element: RouteElement, apex: Point, gape_rad: float, reach_mm: float
) -> tuple[tuple[Point, Point], ...]:
    """The height over the floor, and upright over the nosing line."""
    foot = apex[0] + 0.8 * reach_mm
    x = apex[0] + 0.8 * reach_mm * cos(gape_rad)
    low = x * tan(gape_rad)
    return (
        ((foot, 0.0), (foot, element.height_mm or 0.0)),
        ((x, low), (x, low + (element.headroom_mm or 0.0))),
    )


def _steps(along_mm: float, gape_rad: float) -> Corners:
    """Treads and risers with their nosings on the line that the model takes for them."""
    going = RISE_MM / tan(pi - gape_rad)
    count = int(along_mm * sin(gape_rad) / RISE_MM)
    points: list[Point] = [(0.0, 0.0)]
    for step in range(1, count + 1):
        points += [(-going * step, RISE_MM * (step - 1)), (-going * step, RISE_MM * step)]
    return tuple(points)


def _mirrored(scene: Scene) -> Scene:
    """Left and right exchanged."""

    def over(points: Iterable[Point]) -> Corners:
        return tuple((-x, y) for x, y in points)

    return Scene(
        view=scene.view,
        walls=tuple(over(wall) for wall in scene.walls),
        carried=over(scene.carried),
        kept=over(scene.kept),
        measures=tuple(((-ax, ay), (-bx, by)) for (ax, ay), (bx, by) in scene.measures),
        steps=over(scene.steps),
    )


def landing(element: RouteElement, plate: Plate) -> Scene:
    """A landing from above, the plate as long as its pitch ever makes it there."""
    width, depth = element.width_mm or 0.0, element.depth_mm or 0.0
    tall = atan2(plate.high_mm, plate.long_mm) * 180 / pi
    turned = replace(plate, pitch_deg=min(tall, element.pitch_deg or 0.0))
    scene = corner(depth, width, 90, turned)
    if element.turn_deg != 180:
        return scene
    gap = element.gap_mm or 0.0
    far = 2 * width + gap
    long, wide = turned.strip_mm
    top = max(y for wall in scene.walls for _, y in wall)
    if far < lengths.corner_mm(width, depth, wide):
        middle = far / 2, depth / 2
        scene = replace(
            scene,
            carried=rectangle(middle, 0.0, turned.plan_mm, turned.wide_mm),
            kept=rectangle(middle, 0.0, long, wide),
        )
    return replace(
        scene,
        walls=(
            block(-WALL_MM, far + WALL_MM, -WALL_MM, 0), block(-WALL_MM, 0, 0, top),
            block(far, far + WALL_MM, 0, top), block(width, width + max(gap, 10.0), depth, top),
        ),
        measures=(
            ((0.0, top), (width, top)), ((far / 2, 0.0), (far / 2, depth)),
        ),
    )  # fmt: skip


def leg(leg_mm: float, width_mm: float, plate: Plate) -> Scene:
    """The straight part between two turns, from above; its ends are the outer walls."""
    long, wide = plate.strip_mm
    middle = max(leg_mm, long) / 2 if long <= leg_mm else leg_mm / 2, width_mm / 2
    return Scene(
        view="from above",
        walls=(
            block(-WALL_MM, 0, 0, width_mm), block(leg_mm, leg_mm + WALL_MM, 0, width_mm),
        ),
        carried=rectangle(middle, 0.0, plate.plan_mm, plate.wide_mm),
        kept=rectangle(middle, 0.0, long, wide),
        measures=(((0.0, -2 * WALL_MM), (leg_mm, -2 * WALL_MM)),),
    )  # fmt: skip
