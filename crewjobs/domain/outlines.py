"""The outline of a piece: making one from plain sizes, rounding its corners, refusing a bad one.

Knows polygons; refuses to know mass, seams and use. Arcs are flattened within a tolerance.
"""

from collections.abc import Collection, Iterator, Mapping
from enum import StrEnum
from itertools import combinations
from math import acos, atan2, ceil, cos, hypot, isfinite, pi, sin, tan

from crewjobs.domain.facts import Cutout, Piece, Point

Outline = tuple[Point, ...]

LONGEST_MM = 10_000.0
"""Common practice: no slab comes near it; a longer piece has the wrong unit."""
SHORTEST_MM = 10.0
"""Common practice: a smaller piece has the wrong unit."""
THICKEST_MM = 200.0
"""Common practice: thicker is a wrong unit."""
FLAT_MM = 0.1
"""How far a flattened arc may lie from the true one; below what a saw holds."""


def rectangle_mm(length_mm: float, depth_mm: float) -> Outline:
    """A rectangle's outline, its first corner at the origin."""
    return ((0, 0), (length_mm, 0), (length_mm, depth_mm), (0, depth_mm))


def l_shape_mm(
    along_mm: float, back_mm: float, along_depth_mm: float, back_depth_mm: float
) -> Outline:
    """An L's outline: one leg along x, the other along y, outer corner at the origin.

    Raises
    ------
    ValueError
        If a leg is no longer than the other is deep.
    """
    _longer("back_mm", back_mm, along_depth_mm)
    _longer("along_mm", along_mm, back_depth_mm)
    inner = (back_depth_mm, along_depth_mm)
    return (
        (0, 0), (along_mm, 0), (along_mm, along_depth_mm), inner, (back_depth_mm, back_mm),
        (0, back_mm),
    )  # fmt: skip


def u_shape_mm(
    along_mm: float, left_mm: float, right_mm: float, *, depth_mm: float, leg_depth_mm: float
) -> Outline:
    """A U's outline: the middle along x, a leg along y at either end.

    Raises
    ------
    ValueError
        If a leg is no longer than the middle is deep, or the legs leave no gap.
    """
    _longer("left_mm", left_mm, depth_mm)
    _longer("right_mm", right_mm, depth_mm)
    _longer("along_mm", along_mm, 2 * leg_depth_mm)
    far = along_mm - leg_depth_mm
    return (
        (0, 0), (along_mm, 0), (along_mm, right_mm), (far, right_mm), (far, depth_mm),
        (leg_depth_mm, depth_mm), (leg_depth_mm, left_mm), (0, left_mm),
    )  # fmt: skip


class Corner(StrEnum):
    """A corner of the box around a piece that lies flat, its front below."""

    FRONT_LEFT = "front left"
    FRONT_RIGHT = "front right"
    BACK_LEFT = "back left"
    BACK_RIGHT = "back right"


def mirrored_mm(outline_mm: Outline, corner: Corner) -> Outline:
    """The outline with what lies at its front left brought to another corner, in the same box.

    Examples
    --------
    >>> mirrored_mm(l_shape_mm(3000, 2000, 650, 600), Corner.BACK_LEFT)[:3]
    ((0, 2000), (3000, 2000), (3000, 1350))
    """
    (left, low), (right, high) = box_mm(outline_mm)
    is_right = corner in (Corner.FRONT_RIGHT, Corner.BACK_RIGHT)
    is_back = corner in (Corner.BACK_LEFT, Corner.BACK_RIGHT)
    return tuple(
        (left + right - x if is_right else x, low + high - y if is_back else y)
        for x, y in outline_mm
    )


def _longer(name: str, value: float, limit: float) -> None:
    if value <= limit:
        raise ValueError(f"{name} is {value:g}, it must be more than {limit:g}")


def rounded_mm(
    outline_mm: Outline, radii_mm: Mapping[int, float], *, flat_mm: float = FLAT_MM
) -> Outline:
    """The outline with arcs at some corners, by their place in it, flattened.

    Raises
    ------
    ValueError
        If two arcs do not leave room for each other on an edge; naming the corner.

    References
    ----------
    The tangent is ``r / tan(angle / 2)`` long; a chord over the angle u lies ``r (1 - cos(u / 2))``
    off its arc.

    Examples
    --------
    >>> round(length_mm(rounded_mm(rectangle_mm(1000, 600), {0: 300}, flat_mm=0.001)), 1)
    3071.2
    """
    count = len(outline_mm)
    tangents = [_tangent_mm(outline_mm, place, radii_mm.get(place, 0.0)) for place in range(count)]
    for place in range(count):
        after = (place + 1) % count
        room = hypot(*_between(outline_mm[place], outline_mm[after]))
        if tangents[place] + tangents[after] > room + 1e-9:
            raise ValueError(f"the radius at {_named(outline_mm[place])} does not fit its edge")
    found: list[Point] = []
    for place in range(count):
        radius = radii_mm.get(place, 0.0)
        found += _arc(outline_mm, place, radius, flat_mm) if radius else [outline_mm[place]]
    return tuple(found)


def _between(start: Point, end: Point) -> Point:
    return end[0] - start[0], end[1] - start[1]


def _sides(outline: Outline, place: int) -> tuple[Point, Point]:
    """Unit vectors from a corner to the one before and the one after."""
    here = outline[place]
    found = []
    for there in (outline[place - 1], outline[(place + 1) % len(outline)]):
        x, y = _between(here, there)
        long = hypot(x, y)
        found.append((x / long, y / long))
    return found[0], found[1]


def _half_rad(outline: Outline, place: int) -> float:
    (ax, ay), (bx, by) = _sides(outline, place)
    return acos(max(-1.0, min(1.0, ax * bx + ay * by))) / 2


def _tangent_mm(outline: Outline, place: int, radius_mm: float) -> float:
    return radius_mm / tan(_half_rad(outline, place)) if radius_mm else 0.0


def _arc(outline: Outline, place: int, radius_mm: float, flat_mm: float) -> list[Point]:
    (ax, ay), (bx, by) = _sides(outline, place)
    x, y = outline[place]
    half = _half_rad(outline, place)
    reach = radius_mm / sin(half) / hypot(ax + bx, ay + by)
    middle_x, middle_y = x + (ax + bx) * reach, y + (ay + by) * reach
    tangent = _tangent_mm(outline, place, radius_mm)
    start = atan2(y + ay * tangent - middle_y, x + ax * tangent - middle_x)
    end = atan2(y + by * tangent - middle_y, x + bx * tangent - middle_x)
    sweep = (end - start + pi) % (2 * pi) - pi
    chord = 2 * acos(max(0.0, 1 - flat_mm / radius_mm))
    steps = max(1, ceil(abs(sweep) / chord))
    turns = [start + sweep * step / steps for step in range(steps + 1)]
    return [(middle_x + radius_mm * cos(t), middle_y + radius_mm * sin(t)) for t in turns]


def length_mm(outline_mm: Outline, edges: Collection[int] | None = None) -> float:
    """The length of an outline, or of those of its edges that are finished.

    Edge 0 runs from the first corner to the second.

    Examples
    --------
    >>> length_mm(rectangle_mm(2000, 600)), length_mm(rectangle_mm(2000, 600), {0, 1})
    (5200.0, 2600.0)
    """
    return sum(
        hypot(*_between(start, end))
        for place, (start, end) in enumerate(_edges(outline_mm))
        if edges is None or place in edges
    )


def box_mm(outline_mm: Outline) -> tuple[Point, Point]:
    """The lowest and the highest x and y."""
    xs, ys = zip(*outline_mm, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def reach_mm(outline_mm: Outline, axis: int, low_mm: float, high_mm: float) -> Point:
    """How far an outline reaches across a strip of it, lowest and highest.

    The strip runs between two places along the axis, 0 for x, 1 for y.

    Examples
    --------
    >>> reach_mm(l_shape_mm(3000, 2000, 650, 600), 0, 1000, 2000)
    (0.0, 650.0)
    """
    found: list[float] = []
    for start, end in _edges(outline_mm):
        run, rise = end[axis] - start[axis], end[1 - axis] - start[1 - axis]
        left = max(low_mm, min(start[axis], end[axis]))
        right = min(high_mm, max(start[axis], end[axis]))
        if right - left > 1e-9:
            shares = ((place - start[axis]) / run for place in (left, right))
            found += [start[1 - axis] + share * rise for share in shares]
    return min(found), max(found)


def inside_corners_mm(outline_mm: Outline) -> tuple[Point, ...]:
    """The corners that point into the stone, where an L or a U turns.

    Examples
    --------
    >>> inside_corners_mm(l_shape_mm(3000, 2000, 650, 650))
    ((650, 650),)
    """
    way = sum(ax * by - bx * ay for (ax, ay), (bx, by) in _edges(outline_mm))
    before = outline_mm[-1:] + outline_mm[:-1]
    after = outline_mm[1:] + outline_mm[:1]
    return tuple(
        here
        for was, here, then in zip(before, outline_mm, after, strict=True)
        if _turn_mm2(was, here, then) * way < 0
    )


def _edges(outline: Outline) -> list[tuple[Point, Point]]:
    return list(zip(outline, outline[1:] + outline[:1], strict=True))


def _turn_mm2(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def refusals(piece: Piece) -> tuple[str, ...]:
    """Why a piece cannot be cut as drawn, each with the point or the size; empty if it can.

    Examples
    --------
    >>> bow = ((0, 0), (2000, 600), (2000, 0), (0, 600))
    >>> refusals(Piece(name="A", outline_mm=bow, thickness_mm=30))
    ('the outline crosses itself at (1000, 300)',)
    """
    return outline_refusals(piece) or tuple(said for _, said in cutout_refusals(piece))


def outline_refusals(piece: Piece) -> tuple[str, ...]:
    """Why its outline cannot be cut, each with the point or the size; empty if it can."""
    if bad := tuple(f"{_named(p)} is no point" for p in piece.outline_mm if not _is_point(p)):
        return bad
    return tuple(_sizes(piece)) or tuple(_crossings(piece.outline_mm))


def cutout_refusals(piece: Piece) -> Iterator[tuple[int, str]]:
    """Why its cutouts cannot be made: the place of each among them, and the point."""
    for place, cutout in enumerate(piece.cutouts):
        outside = [each for each in _corners(cutout) if not is_inside(each, piece.outline_mm)]
        edges = _edges(_corners(cutout))
        if outside:
            yield place, f"the {cutout.kind} reaches outside the outline at {_named(outside[0])}"
        elif point := next(
            (p for e in _edges(piece.outline_mm) for h in edges if (p := _meeting(e, h))), None
        ):
            yield place, f"the {cutout.kind} meets the outline at {_named(point)}"
    for (_, first), (place, second) in combinations(enumerate(piece.cutouts), 2):
        if _overlap(first, second):
            where = _named((second.x_mm, second.y_mm))
            yield place, f"the {first.kind} and the {second.kind} at {where} overlap"


def _is_point(point: Point) -> bool:
    return all(isfinite(each) for each in point)


def _sizes(piece: Piece) -> Iterator[str]:
    for name, size in (("length", piece.length_mm), ("depth", piece.depth_mm)):
        if not SHORTEST_MM <= size <= LONGEST_MM:
            yield (
                f"the {name} is {size:g} mm, it should be {SHORTEST_MM:g} to {LONGEST_MM:g}: "
                "is the unit right?"
            )
    if piece.thickness_mm > THICKEST_MM:
        yield (
            f"the thickness is {piece.thickness_mm:g} mm, the most is {THICKEST_MM:g}: "
            "is the unit right?"
        )
    for start, end in _edges(piece.outline_mm):
        if hypot(*_between(start, end)) < 1e-9:
            yield f"the outline stands still at {_named(start)}"


def _crossings(outline: Outline) -> Iterator[str]:
    """Where edges cross or touch; neighbors, where one runs back along the other."""
    edges = _edges(outline)
    for before, after in zip(edges[-1:] + edges[:-1], edges, strict=True):
        (ax, ay), (bx, by) = _between(*before), _between(*after)
        if ax * by == ay * bx and ax * bx + ay * by < 0:
            yield f"the outline runs back on itself at {_named(after[0])}"
    for first, second in _near_pairs(edges):
        if point := _meeting(edges[first], edges[second]):
            yield f"the outline crosses itself at {_named(point)}"


def _near_pairs(edges: list[tuple[Point, Point]]) -> Iterator[tuple[int, int]]:
    """Edges that are no neighbors and lie over the same stretch of x."""
    count = len(edges)
    lows = [min(start[0], end[0]) for start, end in edges]
    order = sorted(range(count), key=lows.__getitem__)
    for rank, first in enumerate(order):
        high = max(edges[first][0][0], edges[first][1][0])
        for second in order[rank + 1 :]:
            if lows[second] > high:
                break
            if (second - first) % count not in (1, count - 1):
                yield min(first, second), max(first, second)


def _meeting(first: tuple[Point, Point], second: tuple[Point, Point]) -> Point | None:
    """Where two edges cross or touch; None if they do not."""
    (p, q), (r, s) = first, second
    dx, dy = _between(p, q)
    ex, ey = _between(r, s)
    across = dx * ey - dy * ex
    ox, oy = _between(p, r)
    if across == 0:
        return next((each for each in (r, s) if _is_on(each, p, q)), None)
    along, other = (ox * ey - oy * ex) / across, (ox * dy - oy * dx) / across
    if 0 <= along <= 1 and 0 <= other <= 1:
        return p[0] + along * dx, p[1] + along * dy
    return None


def _is_on(point: Point, start: Point, end: Point) -> bool:
    gap = hypot(*_between(start, point)) + hypot(*_between(point, end))
    return gap - hypot(*_between(start, end)) < 1e-9


def _corners(cutout: Cutout) -> Outline:
    x, y = cutout.width_mm / 2, cutout.height_mm / 2
    return tuple(
        (cutout.x_mm + sx * x, cutout.y_mm + sy * y)
        for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )


def is_inside(point: Point, outline: Outline) -> bool:
    """Whether a ray from the point crosses the outline an odd number of times."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in _edges(outline):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _overlap(first: Cutout, second: Cutout) -> bool:
    wide = (first.width_mm + second.width_mm) / 2 - abs(first.x_mm - second.x_mm)
    high = (first.height_mm + second.height_mm) / 2 - abs(first.y_mm - second.y_mm)
    return wide > 0 and high > 0


def _named(point: Point) -> str:
    return f"({point[0]:g}, {point[1]:g})"
