"""Where a piece that is too long could be cut into parts, so that a seam is placed before it is.

Knows outlines and cutouts; refuses to know whether a seam is wanted there: the rules and the
template decide.
"""

from collections.abc import Iterator
from itertools import pairwise

from crewjobs.domain.facts import Piece, Point
from crewjobs.domain.limits import USUAL
from crewjobs.domain.outlines import inside_corners_mm, reach_mm

MOST_PARTS = 6


def sizes_mm(piece: Piece, seams_mm: tuple[float, ...], axis: int) -> tuple[Point, ...]:
    """Length and depth of each part, cut across one axis at these places.

    Examples
    --------
    >>> legs = ((0, 0), (3000, 0), (3000, 650), (650, 650), (650, 2000), (0, 2000))
    >>> sizes_mm(Piece(name="L", outline_mm=legs, thickness_mm=30), (650,), 0)
    ((2000.0, 650), (2350, 650.0))
    """
    places = [point[axis] for point in piece.outline_mm]
    edges = (min(places), *seams_mm, max(places))
    found = []
    for low, high in pairwise(edges):
        near, far = reach_mm(piece.outline_mm, axis, low, high)
        sides = high - low, far - near
        found.append((max(sides), min(sides)))
    return tuple(found)


def proposals(
    piece: Piece, from_cutout_mm: float = USUAL.part_from_cutout_mm
) -> Iterator[tuple[int, tuple[float, ...]]]:
    """Ways of cutting a piece, fewest parts first: the axis cut across, and where."""
    for axis in (0, 1):
        barred = _barred(piece, axis, from_cutout_mm)
        for place in sorted({corner[axis] for corner in inside_corners_mm(piece.outline_mm)}):
            if _is_clear(barred, place):
                yield axis, (place,)
    axis = 0 if piece.length_mm >= piece.depth_mm else 1
    places = [point[axis] for point in piece.outline_mm]
    start, end = min(places), max(places)
    barred = _barred(piece, axis, from_cutout_mm)
    edges = [edge for stretch in barred for edge in stretch]
    free = [edge for edge in edges if start < edge < end and _is_clear(barred, edge)]
    for number in range(2, MOST_PARTS + 1):
        wished = [start + (end - start) * n / number for n in range(1, number)]
        seams = {_nearest_mm(wish, free, _is_clear(barred, wish)) for wish in wished}
        if None not in seams and len(seams) == number - 1:
            yield axis, tuple(sorted(seam for seam in seams if seam is not None))


def _nearest_mm(wished_mm: float, free: list[float], is_clear: bool) -> float | None:
    if is_clear:
        return wished_mm
    return min(free, key=lambda place: abs(place - wished_mm), default=None)


def _is_clear(barred: list[Point], place_mm: float) -> bool:
    return all(not low < place_mm < high for low, high in barred)


def _barred(piece: Piece, axis: int, from_cutout_mm: float) -> list[Point]:
    """Where a cutout, and the stone beside it, forbids a seam."""
    holes = [((c.x_mm, c.y_mm)[axis], (c.width_mm, c.height_mm)[axis]) for c in piece.cutouts]
    reach = [(middle, size / 2 + from_cutout_mm) for middle, size in holes]
    return [(middle - half, middle + half) for middle, half in reach]
