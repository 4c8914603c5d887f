"""Where the pieces of a job lie: as it was told, else joined at their seams, else side by side.

What is derived shows which piece meets which, edge to edge; it is no plan of the room.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from math import atan2, degrees, hypot, inf

from crewjobs.domain.drawings.shapes import Corners, turned_mm
from crewjobs.domain.facts import Piece, PieceKind, Point, Seam, Work
from crewjobs.domain.outlines import box_mm, is_inside

APART_MM = 250.0
"""Between pieces that nothing joins; only for the picture."""
FOLD_MM = 60.0
"""Between a top and the waterfall that hangs from it, unfolded; only for the picture."""
TOUCH_MM = 1.0
"""Pieces that lie in each other by less touch."""
MOST_EDGES = 8
"""Of a piece, that are tried for a seam: those nearest to its length."""
Edge = tuple[Point, Point]


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """A piece in the layout: turned about its origin, then moved."""

    piece: Piece
    x_mm: float
    y_mm: float
    turn_deg: float = 0.0
    is_told: bool = False
    """Known, not derived."""

    def there(self, points: Iterable[Point]) -> Corners:
        """Points of the piece, in the layout."""
        turned = turned_mm(points, self.turn_deg)
        return tuple((x + self.x_mm, y + self.y_mm) for x, y in turned)

    @property
    def outline_mm(self) -> Corners:
        """Its outline, in the layout."""
        return self.there(self.piece.outline_mm)


def placed(work: Work) -> tuple[Placed, ...]:
    """Every piece of the work in its place, in the order of the work.

    Derived places do not overlap, each other nor those that were told.
    """
    found = {piece.name: _told(piece) for piece in work.pieces if piece.layout_x_mm is not None}
    flat = [p for p in work.pieces if p.kind is not PieceKind.BACKSPLASH or p.name in found]
    _join(found, flat, work.seams)
    for piece in flat:
        if piece.name not in found:
            found[piece.name] = _beside(piece, found.values())
            _join(found, flat, work.seams)
    for piece in work.pieces:
        if piece.name not in found:
            found[piece.name] = _below(piece, found.values())
    return tuple(found[piece.name] for piece in work.pieces)


def _told(piece: Piece) -> Placed:
    return Placed(
        piece=piece,
        x_mm=piece.layout_x_mm or 0.0,
        y_mm=piece.layout_y_mm or 0.0,
        turn_deg=piece.layout_turn_deg,
        is_told=True,
    )


def _join(found: dict[str, Placed], pieces: Sequence[Piece], seams: Sequence[Seam]) -> None:
    """Place whatever a seam joins to what is placed already, until nothing more is."""
    by_name = {piece.name: piece for piece in pieces}
    waiting = list(seams)
    while True:
        for seam in waiting:
            ends = [name for name in (seam.first, seam.second) if name in found]
            others = {seam.first, seam.second} - set(ends)
            if len(ends) == 1 and (others & by_name.keys()):
                other = by_name[others.pop()]
                joined = _joined(found[ends[0]], other, seam, found.values())
                waiting.remove(seam)
                if joined:
                    found[other.name] = joined
                break
        else:
            return


def _joined(to: Placed, piece: Piece, seam: Seam, others: Iterable[Placed]) -> Placed | None:
    """The first place edge to edge where it overlaps nothing; lengths like the seam's first."""
    taken = list(others)
    kinds = to.piece.kind, piece.kind
    gap = FOLD_MM if PieceKind.WATERFALL in kinds else 0.0
    tries = product(
        _nearest(_edges(to.outline_mm), seam.length_mm),
        _nearest(_edges(piece.outline_mm), seam.length_mm),
    )

    def order(pair: tuple[Edge, Edge]) -> tuple[float, ...]:
        off = sum(abs(_length_mm(edge) - seam.length_mm) for edge in pair)
        turn = _turn_deg(*pair)
        (ax, ay), (bx, by) = pair[0]
        is_right = by - ay > abs(bx - ax)
        return round(off), abs(turn), not is_right, ax, ay

    for pair in sorted(tries, key=order):
        place = _against(piece, *pair, gap)
        if not any(overlaps(place.outline_mm, each.outline_mm) for each in taken):
            return place
    return None


def _edges(outline: Corners) -> list[Edge]:
    """The edges, anticlockwise: the stone is on their left."""
    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise((*outline, outline[0])))
    around = outline if twice > 0 else outline[::-1]
    return list(pairwise((*around, around[0])))


def _length_mm(edge: Edge) -> float:
    (ax, ay), (bx, by) = edge
    return hypot(bx - ax, by - ay)


def _nearest(edges: list[Edge], length_mm: float) -> list[Edge]:
    return sorted(edges, key=lambda edge: abs(_length_mm(edge) - length_mm))[:MOST_EDGES]


def _turn_deg(there: Edge, own: Edge) -> float:
    """How far a piece is turned so that its edge runs against the other, -180 to 180."""
    (ax, ay), (bx, by) = there
    (cx, cy), (dx, dy) = own
    turn = degrees(atan2(ay - by, ax - bx) - atan2(dy - cy, dx - cx))
    return round((turn + 180) % 360 - 180, 6)


def _against(piece: Piece, there: Edge, own: Edge, gap_mm: float) -> Placed:
    """The piece with one edge against another, in line at the end that lies further back."""
    turn = _turn_deg(there, own)
    start, end = there
    own_start, own_end = turned_mm(own, turn)
    fixed, moving = (end, own_start) if end[1] >= start[1] else (start, own_end)
    long = _length_mm(there)
    out = (end[1] - start[1]) / long * gap_mm, (start[0] - end[0]) / long * gap_mm
    return Placed(
        piece=piece,
        x_mm=fixed[0] - moving[0] + out[0],
        y_mm=fixed[1] - moving[1] + out[1],
        turn_deg=turn,
    )


def _beside(piece: Piece, others: Iterable[Placed]) -> Placed:
    """To the right of all that is placed, its back in line."""
    (left, _), (_, high) = box_mm(piece.outline_mm)
    spots = [spot for each in others for spot in each.outline_mm]
    if not spots:
        return Placed(piece=piece, x_mm=-left, y_mm=-high)
    (_, _), (right, top) = box_mm(tuple(spots))
    return Placed(piece=piece, x_mm=right + APART_MM - left, y_mm=top - high)


def _below(piece: Piece, others: Iterable[Placed]) -> Placed:
    """Under all that is placed."""
    (left, _), (_, high) = box_mm(piece.outline_mm)
    spots = [spot for each in others for spot in each.outline_mm]
    if not spots:
        return Placed(piece=piece, x_mm=-left, y_mm=-high)
    (first, low), _ = box_mm(tuple(spots))
    return Placed(piece=piece, x_mm=first - left, y_mm=low - APART_MM - high)


def overlaps(first: Corners, second: Corners) -> bool:
    """Whether two outlines lie in each other by more than a touch.

    Exact for outlines: each edge is parted where it meets the other outline, and a part that runs
    inside it is found by its middle; so is an outline that lies whole in the other.
    """
    if not _boxes_meet(first, second):
        return False
    return any(
        _is_deep(spot, over)
        for under, over in ((first, second), (second, first))
        for spot in (*_middles(under, over), _within(under))
    )


def _boxes_meet(first: Corners, second: Corners) -> bool:
    (al, ab), (ar, at) = box_mm(first)
    (bl, bb), (br, bt) = box_mm(second)
    wide, high = min(ar, br) - max(al, bl), min(at, bt) - max(ab, bb)
    return wide > TOUCH_MM and high > TOUCH_MM


def _middles(outline: Corners, other: Corners) -> Iterator[Point]:
    """The middles of the parts into which the other outline parts each edge."""
    for (ax, ay), (bx, by) in pairwise((*outline, outline[0])):
        shares = {0.0, 1.0}
        for (cx, cy), (dx, dy) in pairwise((*other, other[0])):
            across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            if across:
                share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
                shares |= {share} if 0 < share < 1 else set()
        for start, end in pairwise(sorted(shares)):
            share = (start + end) / 2
            yield ax + share * (bx - ax), ay + share * (by - ay)


def _within(outline: Corners) -> Point:
    """A point well inside an outline: the middle of its widest stretch at some height."""
    (_, low), (_, high) = box_mm(outline)
    best, width = outline[0], -inf
    for step in range(1, 10):
        y = low + (high - low) * (step / 10 + 0.001)
        xs = sorted(
            ax + (y - ay) / (by - ay) * (bx - ax)
            for (ax, ay), (bx, by) in pairwise((*outline, outline[0]))
            if (ay > y) != (by > y)
        )
        for left, right in zip(xs[::2], xs[1::2], strict=True):
            if right - left > width:
                best, width = ((left + right) / 2, y), right - left
    return best


def _is_deep(spot: Point, outline: Corners) -> bool:
    """Whether a point lies inside an outline, further than a touch from its edges."""
    edges = pairwise((*outline, outline[0]))
    return is_inside(spot, outline) and all(_off_mm(spot, *edge) > TOUCH_MM for edge in edges)


def _off_mm(spot: Point, start: Point, end: Point) -> float:
    """From a point to a stretch."""
    (x, y), (ax, ay), (bx, by) = spot, start, end
    square = (bx - ax) ** 2 + (by - ay) ** 2
    share = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / square if square else 0.0
    share = max(0.0, min(1.0, share))
    return hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay))


def seam_line(first: Placed, second: Placed) -> Edge | None:
    """Where two pieces face each other the longest, edge along edge; None where they do not."""
    best, longest = None, 0.0
    for one, other in product(_edges(first.outline_mm), _edges(second.outline_mm)):
        stretch = _facing(one, other)
        if stretch and _length_mm(stretch) > longest:
            best, longest = stretch, _length_mm(stretch)
    return best


def _facing(one: Edge, other: Edge) -> Edge | None:
    """The stretch of an edge along which another runs against it, no further than a fold off."""
    (ax, ay), (bx, by) = one
    long = _length_mm(one)
    if not long or not _length_mm(other):
        return None
    ux, uy = (bx - ax) / long, (by - ay) / long
    (cx, cy), (dx, dy) = other
    off = [(x - ax) * uy - (y - ay) * ux for x, y in other]
    runs_back = (dx - cx) * ux + (dy - cy) * uy < 0
    if not runs_back or max(map(abs, off)) > FOLD_MM + TOUCH_MM or abs(off[0] - off[1]) > TOUCH_MM:
        return None
    along = sorted((x - ax) * ux + (y - ay) * uy for x, y in other)
    start, end = max(0.0, along[0]), min(long, along[1])
    if end - start <= TOUCH_MM:
        return None
    middle = sum(off) / 4
    return (
        (ax + start * ux + middle * uy, ay + start * uy - middle * ux),
        (ax + end * ux + middle * uy, ay + end * uy - middle * ux),
    )
