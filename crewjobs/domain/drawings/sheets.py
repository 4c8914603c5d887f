"""Shapes brought together on a sheet: views beside each other, words below them."""

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from crewjobs.domain.drawings.shapes import (
    LETTER_SHARE,
    Anchor,
    Circle,
    Corners,
    Drawing,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
    moved,
    turned_mm,
    wide_mm,
)
from crewjobs.domain.facts import Point
from crewjobs.domain.outlines import box_mm

LEAST_LETTERS = 40
"""Of a line of words, however narrow the picture over it is."""
LINE = 1.35
"""From one line of words to the next, in letters."""


def arranged(views: Iterable[Sequence[Shape]], letter_mm: float, *, is_narrow: bool) -> list[Shape]:
    """Views beside each other, their upper edges in line; below each other where it is narrow."""
    found: list[Shape] = []
    across = up = 0.0
    for shapes in views:
        sheet = on_sheet(shapes, letter_mm=letter_mm, title="", description="")
        found += [moved(shape, across, up - sheet.height_mm) for shape in sheet.shapes]
        if is_narrow:
            up -= sheet.height_mm + letter_mm
        else:
            across += sheet.width_mm + letter_mm
    return found


def written(
    said: Iterable[tuple[str, Role]], start: tuple[float, float], room_mm: float, letter_mm: float
) -> Iterator[Words]:
    """Lines of words from a place downwards, parted where they are longer than the room."""
    left, low = start
    letters = max(LEAST_LETTERS, int(room_mm / (letter_mm * LETTER_SHARE)))
    for text, role in said:
        for line in wrap(text, letters, break_long_words=False):
            low -= letter_mm * LINE
            yield Words(text=line, at_mm=(left, low), role=role, anchor=Anchor.START)


def on_sheet(shapes: Iterable[Shape], *, letter_mm: float, title: str, description: str) -> Drawing:
    """Shapes brought together on the smallest sheet that holds them, with a letter's margin."""
    drawn = tuple(shapes)
    (left, low), (right, high) = reach_mm(drawn, letter_mm)
    left, low = left - letter_mm / 2, low - letter_mm / 2
    return Drawing(
        width_mm=right + letter_mm / 2 - left,
        height_mm=high + letter_mm / 2 - low,
        letter_mm=letter_mm,
        shapes=tuple(moved(shape, -left, -low) for shape in drawn),
        title=title,
        description=description,
    )


def reach_mm(shapes: Iterable[Shape], letter_mm: float) -> tuple[Point, Point]:
    """The lowest and the highest x and y that shapes reach to, words among them."""
    return box_mm(tuple(spot for shape in shapes for spot in _reach(shape, letter_mm)))


def _reach(shape: Shape, letter_mm: float) -> Corners:
    """The points that a shape reaches to."""
    match shape:
        case Polygon(corners_mm=points) | Line(points_mm=points):
            return points
        case Circle(middle_mm=(x, y), radius_mm=radius):
            return ((x - radius, y - radius), (x + radius, y + radius))
        case Words(text=text, at_mm=(x, y), anchor=anchor, turn_deg=turn):
            long = wide_mm(text, letter_mm)
            start = x - long * {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[anchor]
            low, high = y - letter_mm * 0.25, y + letter_mm
            corners = ((start, low), (start + long, low), (start + long, high), (start, high))
            return turned_mm(corners, turn, (x, y))
