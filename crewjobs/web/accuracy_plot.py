"""What was foretold against what came, as one drawing: a mark for each visit, lines for the limits.

Takes pairs and words; gives places on the sheet. Knows no rows.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from crewjobs.domain.hours.accuracy import Pair

SIDE = 560
"""The square between the axes."""
LEFT, TOP, RIGHT, BOTTOM = 64, 46, 100, 52
ROOM = 1.15
"""How much higher the sheet is than the highest limit: no forgotten clock sets the scale."""
STEPS_MIN = (30, 60, 120, 240, 480, 960)
MOST_TICKS = 9


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """A finished visit."""

    url: str
    title: str
    pair: Pair


@dataclass(frozen=True, kw_only=True, slots=True)
class Mark:
    """A visit on the sheet."""

    x: int
    y: int
    url: str
    title: str
    is_beyond: bool
    """Whether it took longer than its P90."""
    is_off: bool
    """Whether it took longer than the sheet is high, and stands at its upper edge."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Ray:
    """A line from nothing at all, with words at its end."""

    x: int
    y: int
    text: str
    kind: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Tick:
    """A number of hours on both axes."""

    x: int
    y: int
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Plot:
    """The whole sheet."""

    marks: tuple[Mark, ...]
    rays: tuple[Ray, ...]
    ticks: tuple[Tick, ...]
    width: int = LEFT + SIDE + RIGHT
    height: int = TOP + SIDE + BOTTOM
    left: int = LEFT
    right: int = LEFT + SIDE
    top: int = TOP
    bottom: int = TOP + SIDE


def draw(visits: Sequence[Visit]) -> Plot | None:
    """The visits, foretold to the right and actual upwards; nothing where there are none."""
    if not visits:
        return None
    pairs = [visit.pair for visit in visits]
    most_min = ROOM * max(pair.p90_min for pair in pairs)
    step_min = next((s for s in STEPS_MIN if most_min / s <= MOST_TICKS), STEPS_MIN[-1])
    count = int(most_min // step_min) + 1
    scale = Scale(count * step_min)
    return Plot(
        marks=tuple(_mark(visit, scale) for visit in visits),
        rays=tuple(_rays(pairs, scale)),
        ticks=tuple(_tick(number * step_min, scale) for number in range(count + 1)),
    )


@dataclass(frozen=True, slots=True)
class Scale:
    """Minutes to places on the sheet, the same both ways."""

    most_min: float

    def x(self, value_min: float) -> int:
        """The place to the right."""
        return LEFT + round(value_min / self.most_min * SIDE)

    def y(self, value_min: float) -> int:
        """The place upwards."""
        return TOP + SIDE - round(value_min / self.most_min * SIDE)


def _mark(visit: Visit, scale: Scale) -> Mark:
    pair = visit.pair
    return Mark(
        x=scale.x(pair.p50_min),
        y=scale.y(min(pair.actual_min, scale.most_min)),
        url=visit.url,
        title=visit.title,
        is_beyond=pair.actual_min > pair.p90_min,
        is_off=pair.actual_min > scale.most_min,
    )


def _rays(pairs: Sequence[Pair], scale: Scale) -> Iterator[Ray]:
    """The diagonal, and where the limits of the middle visit lie above it."""
    yield _ray(1.0, "as foretold", "diagonal", scale)
    yield _ray(median(pair.p80_min / pair.p50_min for pair in pairs), "P80", "limit", scale)
    yield _ray(median(pair.p90_min / pair.p50_min for pair in pairs), "P90", "limit", scale)


def _ray(slope: float, text: str, kind: str, scale: Scale) -> Ray:
    end_min = scale.most_min / max(1.0, slope)
    return Ray(x=scale.x(end_min), y=scale.y(end_min * slope), text=text, kind=kind)


def _tick(value_min: int, scale: Scale) -> Tick:
    text = f"{value_min // 60}:{value_min % 60:02d}"
    return Tick(x=scale.x(value_min), y=scale.y(value_min), text=text)
