"""The marks that every drawing of a piece has: its stone, holes, weak rails, finished edges, grips.

All in the piece's own coordinates, lying flat with its front below.
"""

from collections.abc import Iterator
from itertools import pairwise
from math import hypot

from crewjobs.domain import rails
from crewjobs.domain.drawings.shapes import (
    Circle,
    Corners,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
    box,
    hatched,
    wide_mm,
)
from crewjobs.domain.facts import Cutout, CutoutKind, Piece
from crewjobs.domain.limits import USUAL, Limits
from crewjobs.domain.outlines import box_mm, reach_mm, rectangle_mm, rounded_mm
from crewjobs.domain.pieces import centre_of_gravity_mm

SAME_EDGE_MM = 5.0
"""Not measured: a length of finished edge is taken for that of some edges within this."""
WEAK = "weak rail"
SHORT_WORDS = {
    CutoutKind.UNDERMOUNT_SINK: "sink",
    CutoutKind.DROP_IN_SINK: "sink",
    CutoutKind.COOKTOP: "cooktop",
}


def flat(piece: Piece, letter_mm: float, limits: Limits = USUAL) -> Iterator[Shape]:
    """A piece lying flat, with everything that is known of its stone."""
    yield Polygon(corners_mm=piece.outline_mm, role=Role.STONE)
    for cutout in piece.cutouts:
        yield from _weak_rails(piece, cutout, letter_mm, limits)
    for cutout in piece.cutouts:
        yield from hole(cutout, letter_mm)
    yield from (Line(points_mm=edge, role=Role.FINISHED) for edge in finished_edges(piece))


def hole(cutout: Cutout, letter_mm: float) -> Iterator[Shape]:
    """A cutout with its corners, and its name where there is room."""
    role = Role.SITE_CUTOUT if cutout.is_made_on_site else Role.CUTOUT
    yield Polygon(corners_mm=cutout_outline(cutout), role=role)
    name = SHORT_WORDS.get(cutout.kind, "")
    lines = [name, "cut on site"] if name and cutout.is_made_on_site else [name]
    fits = letter_mm * (1.9 + 1.3 * len(lines)) < cutout.height_mm
    if name and fits and wide_mm(max(lines, key=len), letter_mm) < cutout.width_mm:
        top_mm = cutout.y_mm + cutout.height_mm / 2 - letter_mm * 1.3
        for number, line in enumerate(lines):
            spot = cutout.x_mm, top_mm - number * 1.3 * letter_mm
            yield Words(text=line, at_mm=spot)


def cutout_outline(cutout: Cutout) -> Corners:
    """The outline of a hole in its place."""
    sharp = tuple(
        (x + cutout.x_mm - cutout.width_mm / 2, y + cutout.y_mm - cutout.height_mm / 2)
        for x, y in rectangle_mm(cutout.width_mm, cutout.height_mm)
    )
    radius = min(cutout.corner_radius_mm, min(cutout.width_mm, cutout.height_mm) / 2)
    return rounded_mm(sharp, dict.fromkeys(range(4), radius), flat_mm=1.0) if radius else sharp


def weak(piece: Piece, cutout: Cutout, limits: Limits = USUAL) -> bool:
    """Whether the stone beside a cutout is too weak to be lifted as it is."""
    if cutout.kind not in rails.LARGE:
        return False
    try:
        return rails.beside(piece, cutout, limits=limits).needs_stiffener
    except ValueError:
        return True


def _weak_rails(piece: Piece, cutout: Cutout, letter_mm: float, limits: Limits) -> Iterator[Shape]:
    """The stone on both sides of a cutout, hatched; the words stand beside the drawing."""
    if not weak(piece, cutout, limits):
        return
    axis = rails.along(piece, cutout)
    middles, sizes = (cutout.x_mm, cutout.y_mm), (cutout.width_mm, cutout.height_mm)
    start, end = middles[axis] - sizes[axis] / 2, middles[axis] + sizes[axis] / 2
    near, far = reach_mm(piece.outline_mm, axis, start, end)
    across = 1 - axis
    low, high = middles[across] - sizes[across] / 2, middles[across] + sizes[across] / 2
    for under, over in ((near, low), (high, far)):
        corners = (start, under, end, over) if axis == 0 else (under, start, over, end)
        rail = box(*corners, Role.RAIL)
        yield rail
        yield from hatched(rail.corners_mm, letter_mm * 0.45)
        wide, high = (end - start, over - under) if axis == 0 else (over - under, end - start)
        if high > letter_mm * 0.9 and wide > wide_mm(WEAK, letter_mm):
            middle = (start + end) / 2, (under + over) / 2
            x, y = middle if axis == 0 else middle[::-1]
            yield Words(text=WEAK, at_mm=(x, y - letter_mm * 0.35), role=Role.WARNING)


def finished_edges(piece: Piece) -> tuple[Corners, ...]:
    """The edges that are finished, as lines; none where the length known does not say which.

    Only a length is known: it is that of the front, of the front with one or both ends, or of all.
    """
    if not piece.finished_edge_mm:
        return ()
    runs = _sides(piece)
    front, right, back, left = (runs[name] for name in ("front", "right", "back", "left"))
    tries = [front, front + right, front + left, front + right + left, front + right + back + left]
    for edges in tries:
        length = sum(hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in edges)
        if abs(length - piece.finished_edge_mm) <= SAME_EDGE_MM:
            return tuple(edges)
    return ()


def _sides(piece: Piece) -> dict[str, list[Corners]]:
    """The edges of an outline by the side that they face; slanting ones by the nearer side."""
    outline = piece.outline_mm
    (left, low), (right, high) = box_mm(outline)
    found: dict[str, list[Corners]] = {"front": [], "right": [], "back": [], "left": []}
    for start, end in pairwise((*outline, outline[0])):
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        is_along = abs(end[0] - start[0]) >= abs(end[1] - start[1])
        if is_along:
            side = "front" if y - low <= high - y else "back"
        else:
            side = "left" if x - left <= right - x else "right"
        found[side].append((start, end))
    return found


def grips(piece: Piece, letter_mm: float, limits: Limits = USUAL) -> tuple[float, list[Shape]]:
    """How far from either end the piece is held, and marks on both its edges; 0 if nowhere."""
    try:
        grip = rails.grip_mm(piece, limits=limits)
    except ValueError:
        grip = None
    if grip is None:
        return 0.0, []
    axis = 0 if piece.length_mm >= piece.depth_mm else 1
    ends = [point[axis] for point in piece.outline_mm]
    marks: list[Shape] = []
    for place in (min(ends) + grip, max(ends) - grip):
        for edge in reach_mm(piece.outline_mm, axis, place - 1, place + 1):
            middle = (place, edge) if axis == 0 else (edge, place)
            marks.append(Circle(middle_mm=middle, radius_mm=letter_mm * 0.3, role=Role.GRIP))
    return grip, marks


def balance(piece: Piece, letter_mm: float) -> Iterator[Shape]:
    """A cross and a circle where the piece balances."""
    x, y = centre_of_gravity_mm(piece)
    arm = letter_mm * 0.55
    yield Circle(middle_mm=(x, y), radius_mm=arm * 0.6, role=Role.BALANCE)
    yield Line(points_mm=((x - arm, y), (x + arm, y)), role=Role.BALANCE)
    yield Line(points_mm=((x, y - arm), (x, y + arm)), role=Role.BALANCE)
