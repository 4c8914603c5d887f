"""What a drawing is made of: a few shapes in millimetres, each with the role that it plays.

A door draws the shapes as they come, the first one lowest, and gives each role its pen. It needs to
know nothing else: hatches, ticks and arrows are lines, and every word has its place and its height.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import cos, hypot, radians, sin

from crewjobs.domain.facts import Point

Corners = tuple[Point, ...]


class Role(StrEnum):
    """What a shape stands for; the pen is chosen by it."""

    STONE = "stone"
    """A piece, filled."""
    FINISHED = "finished edge"
    """A thick line along the outline."""
    FACE = "finished face"
    """A line along the side of a piece seen on edge."""
    CUTOUT = "cutout"
    SITE_CUTOUT = "cutout on site"
    """Dashed."""
    RAIL = "weak rail"
    """The stone beside a cutout; hatched."""
    HATCH = "hatch"
    EXTENSION = "extension"
    """From an edge to the line of its measure; thin."""
    GRIP = "grip"
    BALANCE = "centre of gravity"
    DIMENSION = "dimension"
    """Lines, ticks and words of a measure."""
    SEAM = "seam"
    WALL = "wall"
    """Solid: whatever a piece must not touch."""
    OPENING = "opening"
    """The line of a door or a well."""
    STEP = "step"
    CARRIED = "piece in the way"
    CLEARANCE = "clearance"
    """What is kept free around a carried piece; dashed."""
    FRAME = "frame"
    PAD = "pad"
    NAME = "name"
    NOTE = "note"
    WARNING = "warning"


class Anchor(StrEnum):
    """Which part of the words stands at their place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, kw_only=True, slots=True)
class Polygon:
    """A closed shape."""

    corners_mm: Corners
    role: Role


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """An open line through its points."""

    points_mm: Corners
    role: Role


@dataclass(frozen=True, kw_only=True, slots=True)
class Circle:
    """A circle by its middle."""

    middle_mm: Point
    radius_mm: float
    role: Role


@dataclass(frozen=True, kw_only=True, slots=True)
class Words:
    """One line of words; its baseline begins, is centred or ends at its place."""

    text: str
    at_mm: Point
    role: Role = Role.NOTE
    anchor: Anchor = Anchor.MIDDLE
    turn_deg: float = 0.0
    """Anticlockwise."""


Shape = Polygon | Line | Circle | Words


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawing:
    """Shapes on a sheet from (0, 0), lower left, to its width and height; y runs up."""

    width_mm: float
    height_mm: float
    letter_mm: float
    """The height of its letters, from which follows how large it has to be shown."""
    shapes: tuple[Shape, ...]
    title: str
    description: str
    """The drawing in words, for whoever cannot see it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Lettering:
    """How a shop writes on its drawings."""

    extent: Callable[[float], str]
    """A length in the shop's words."""
    mass: Callable[[float], str]
    letters: int = 30
    """So many letters' heights to the longest side of what is drawn: fewer on a small screen."""

    @property
    def is_narrow(self) -> bool:
        """Whether there is no room for two things beside each other."""
        return self.letters < NARROW_LETTERS

    def high_mm(self, longest_mm: float) -> float:
        """The height of a letter beside something of this size."""
        return longest_mm / self.letters


NARROW_LETTERS = 30
LETTER_SHARE = 0.56
"""The mean width of a letter to its height, in common upright typefaces. Not measured."""


def wide_mm(text: str, letter_mm: float) -> float:
    """The room that words take, about.

    Examples
    --------
    >>> round(wide_mm("2440 mm", 60))
    235
    """
    return len(text) * letter_mm * LETTER_SHARE


def moved(shape: Shape, x_mm: float, y_mm: float) -> Shape:
    """A shape elsewhere."""

    def there(points: Iterable[Point]) -> Corners:
        return tuple((x + x_mm, y + y_mm) for x, y in points)

    match shape:
        case Polygon(corners_mm=corners, role=role):
            return Polygon(corners_mm=there(corners), role=role)
        case Line(points_mm=points, role=role):
            return Line(points_mm=there(points), role=role)
        case Circle(middle_mm=middle, radius_mm=radius, role=role):
            return Circle(middle_mm=there([middle])[0], radius_mm=radius, role=role)
        case Words(text=text, at_mm=at, role=role, anchor=anchor, turn_deg=turn):
            return Words(text=text, at_mm=there([at])[0], role=role, anchor=anchor, turn_deg=turn)


def turned_mm(points: Iterable[Point], turn_deg: float, about: Point = (0, 0)) -> Corners:
    """Points turned anticlockwise about a place.

    Examples
    --------
    >>> [(round(x), round(y)) for x, y in turned_mm([(1000, 0)], 90)]
    [(0, 1000)]
    """
    across, up = cos(radians(turn_deg)), sin(radians(turn_deg))
    left, low = about
    return tuple(
        (left + (x - left) * across - (y - low) * up, low + (x - left) * up + (y - low) * across)
        for x, y in points
    )


def box(left_mm: float, low_mm: float, right_mm: float, high_mm: float, role: Role) -> Polygon:
    """An upright rectangle."""
    corners = ((left_mm, low_mm), (right_mm, low_mm), (right_mm, high_mm), (left_mm, high_mm))
    return Polygon(corners_mm=corners, role=role)


def hatched(corners: Corners, step_mm: float) -> Iterator[Line]:
    """Slanting lines that fill a polygon.

    Examples
    --------
    >>> lines = list(hatched(((0, 0), (100, 0), (100, 100), (0, 100)), 50))
    >>> len(lines), max(x for line in lines for x, _ in line.points_mm)
    (3, 100.0)
    """
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    levels = [y - x for x, y in corners]
    level = (min(levels) // step_mm + 1) * step_mm
    while level < max(levels):
        found = sorted(
            ax + (level - (ay - ax)) / ((by - bx) - (ay - ax)) * (bx - ax)
            for (ax, ay), (bx, by) in edges
            if (ay - ax < level) != (by - bx < level)
        )
        for start, end in zip(found[::2], found[1::2], strict=True):
            yield Line(points_mm=((start, start + level), (end, end + level)), role=Role.HATCH)
        level += step_mm


def measured(
    start: Point, end: Point, text: str, letter_mm: float
) -> tuple[Line, Line, Line, Words]:
    """A dimension: its line, a tick at either end, and its words above it or on its left."""
    (ax, ay), (bx, by) = start, end
    long = hypot(bx - ax, by - ay)
    along, up = ((bx - ax) / long, (by - ay) / long) if long else (1.0, 0.0)
    tick, over = letter_mm * 0.3, letter_mm * 0.35
    first, last = (
        Line(
            points_mm=((x + up * tick, y - along * tick), (x - up * tick, y + along * tick)),
            role=Role.DIMENSION,
        )
        for x, y in (start, end)
    )
    words = Words(
        text=text,
        at_mm=((ax + bx) / 2 - up * over, (ay + by) / 2 + along * over),
        role=Role.DIMENSION,
        turn_deg=90.0 if abs(up) > abs(along) else 0.0,
    )
    return Line(points_mm=(start, end), role=Role.DIMENSION), first, last, words
