"""The week as one drawing: days below each other, a line for each crew, the time of day to scale.

Takes minutes on the shop's clock and words; gives places on the sheet. Knows no rows.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate

WIDTH = 1180
NAMES = 160
"""Room for the names of the crews."""
END = 24
HEAD, LANE, GHOST, GAP = 30, 40, 14, 14
BAR = 24
LETTER = 8
"""A letter's width at the size of the bars' words."""
USUAL_DAY = (7 * 60, 18 * 60)


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop:
    """A visit in a crew's day, in minutes since midnight."""

    url: str
    texts: tuple[str, ...]
    """What may stand in the bar, the longest first."""
    title: str
    start_min: int
    p50_min: int
    """Half of such visits are over by then."""
    p80_min: int
    drive_min: int
    windows: tuple[tuple[int, int], ...] = ()
    """When the customer lets the crew begin."""
    is_measuring: bool = False
    done_share: float = 0.0
    live_min: int | None = None
    """When the crew on site is now expected to be done."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Lane:
    """A crew's day."""

    name: str
    shift: tuple[int, int] | None
    off: str = ""
    """Why the crew does not work."""
    stops: tuple[Stop, ...] = ()
    ghosts: tuple[Stop, ...] = ()
    """Published places that the draft leaves."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """What the chart is asked to show of one day."""

    on: date
    lanes: tuple[Lane, ...]
    now_min: int | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """A stretch along the time of day."""

    x: int
    width: int

    @property
    def end(self) -> int:
        """Where it ends."""
        return self.x + self.width


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """A visit on the sheet: the drive, the hours as likely as not, and the way to the P80."""

    url: str
    title: str
    text: str
    short: str
    y: int
    drive: Span
    solid: Span
    tail: Span
    windows: tuple[Span, ...]
    is_measuring: bool
    done: int
    """How much of the solid part is reported done."""
    live: int | None

    @property
    def line(self) -> int:
        """The height of the drive's line."""
        return self.y + BAR // 2

    @property
    def base(self) -> int:
        """The height on which the words stand."""
        return self.y + BAR // 2 + 4

    @property
    def foot(self) -> int:
        """The height of the line of what is done."""
        return self.y + BAR - 3

    @property
    def under(self) -> int:
        """The height of the line of the customer's window."""
        return self.y + BAR + 4


@dataclass(frozen=True, kw_only=True, slots=True)
class LaneDrawing:
    """A crew's line on the sheet."""

    name: str
    off: str
    y: int
    base: int
    shift: Span | None
    bars: tuple[Bar, ...]
    ghosts: tuple[Bar, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class DayDrawing:
    """A day on the sheet."""

    on: date
    y: int
    lane_y: int
    end: int
    note: str
    lanes: tuple[LaneDrawing, ...]
    now: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Tick:
    """A full hour."""

    x: int
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WeekDrawing:
    """The whole sheet."""

    width: int
    height: int
    days: tuple[DayDrawing, ...]
    ticks: tuple[Tick, ...]
    left: int
    right: int


class Scale:
    """Minutes since midnight to places on the sheet, the same for every day."""

    def __init__(self, days: Sequence[Day]) -> None:
        ends = [USUAL_DAY, *(span for day in days for lane in day.lanes for span in _spans(lane))]
        self.first_min = min(start for start, _ in ends) // 60 * 60
        self.last_min = -(-max(end for _, end in ends) // 60) * 60

    def x(self, minute: int) -> int:
        """The place of a minute."""
        share = (minute - self.first_min) / (self.last_min - self.first_min)
        return NAMES + round(share * (WIDTH - NAMES - END))

    def within(self, minute: int) -> int | None:
        """The place of a minute, if the sheet has it."""
        return self.x(minute) if self.first_min <= minute <= self.last_min else None

    def span(self, start_min: int, end_min: int) -> Span:
        """A stretch of time; never turned round."""
        x = self.x(start_min)
        return Span(x=x, width=max(0, self.x(end_min) - x))

    def ticks(self) -> Iterator[Tick]:
        """The full hours."""
        for minute in range(self.first_min, self.last_min + 1, 60):
            yield Tick(x=self.x(minute), text=f"{minute // 60 % 24:02d}:00")


def draw(days: Sequence[Day]) -> WeekDrawing:
    """The days, one below the other."""
    scale = Scale(days)
    tops = list(accumulate((_height(day) for day in days), initial=0))
    return WeekDrawing(
        width=WIDTH,
        height=tops[-1],
        days=tuple(_day(day, top, scale) for day, top in zip(days, tops, strict=False)),
        ticks=tuple(scale.ticks()),
        left=NAMES,
        right=WIDTH - END,
    )


def _spans(lane: Lane) -> Iterator[tuple[int, int]]:
    if lane.shift:
        yield lane.shift
    for stop in (*lane.stops, *lane.ghosts):
        yield stop.start_min - stop.drive_min, stop.p80_min


def _lane_height(lane: Lane) -> int:
    return LANE + (GHOST if lane.ghosts else 0)


def _height(day: Day) -> int:
    return HEAD + sum(_lane_height(lane) for lane in day.lanes) + GAP


def _day(day: Day, top: int, scale: Scale) -> DayDrawing:
    tops = accumulate((_lane_height(lane) for lane in day.lanes), initial=top + HEAD)
    lanes = tuple(_lane(lane, y, scale) for lane, y in zip(day.lanes, tops, strict=False))
    return DayDrawing(
        on=day.on,
        y=top + HEAD - 9,
        lane_y=top + HEAD,
        end=top + _height(day) - GAP,
        note=day.note,
        lanes=lanes,
        now=None if day.now_min is None else scale.within(day.now_min),
    )


def _lane(lane: Lane, y: int, scale: Scale) -> LaneDrawing:
    bar_y = y + (LANE - BAR) // 2 - 1 + (GHOST if lane.ghosts else 0)
    return LaneDrawing(
        name=lane.name,
        off=lane.off,
        y=y,
        base=bar_y + BAR // 2 + 4,
        shift=scale.span(*lane.shift) if lane.shift else None,
        bars=tuple(_bar(stop, bar_y, scale) for stop in lane.stops),
        ghosts=tuple(_bar(stop, y + 3, scale) for stop in lane.ghosts),
    )


def _bar(stop: Stop, y: int, scale: Scale) -> Bar:
    solid = scale.span(stop.start_min, stop.p50_min)
    return Bar(
        url=stop.url,
        title=stop.title,
        text=_fitting(stop.texts, solid.width),
        short=stop.texts[-1],
        y=y,
        drive=scale.span(stop.start_min - stop.drive_min, stop.start_min),
        solid=solid,
        tail=scale.span(stop.p50_min, stop.p80_min),
        windows=tuple(scale.span(*window) for window in stop.windows),
        is_measuring=stop.is_measuring,
        done=round(solid.width * stop.done_share),
        live=None if stop.live_min is None else scale.within(stop.live_min),
    )


def _fitting(texts: tuple[str, ...], width: int) -> str:
    """The longest words that fit; the shortest where none do."""
    fitting = (text for text in texts if len(text) * LETTER + 10 <= width)
    return next(fitting, texts[-1])
