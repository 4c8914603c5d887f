"""The working plan of a visit as a drawing: a line for each person, time to scale.

Takes the tasks; gives places on the sheet. Where only adhesive works there is a line of its own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crewjobs.domain.hours import PlannedTask

WIDTH = 1180
NAMES = 110
END = 24
LANE, BAR, FOOT = 36, 26, 24
LETTER = 7
"""A letter's width at the size of the bars' words."""
STEPS_MIN = (10, 15, 30, 60, 120)
MOST_TICKS = 16


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """A task on one person's line."""

    x: int
    y: int
    width: int
    text: str
    title: str
    is_wait: bool
    is_critical: bool

    @property
    def base(self) -> int:
        """The height on which the words stand."""
        return self.y + BAR // 2 + 3

    @property
    def foot(self) -> int:
        """The height of the line of what decides the end."""
        return self.y + BAR - 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Lane:
    """A person, or an adhesive, on the sheet."""

    name: str
    y: int
    base: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Tick:
    """A time since the start of the work."""

    x: int
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkDrawing:
    """The whole sheet."""

    height: int
    lanes: tuple[Lane, ...]
    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    width: int = WIDTH
    left: int = NAMES
    right: int = WIDTH - END
    bar: int = BAR

    @property
    def end(self) -> int:
        """The height of the last line."""
        return self.height - FOOT


def draw(people: int, tasks: Sequence[PlannedTask]) -> WorkDrawing | None:
    """The tasks, numbered by their start; nothing where there are none."""
    end_min = max((task.end_min for task in tasks), default=0.0)
    if not end_min:
        return None
    waits = _wait_lanes(tasks)
    names = [f"Person {number}" for number in range(1, people + 1)]
    names += ["Adhesive"] * (max(waits.values(), default=-1) + 1)
    return WorkDrawing(
        height=LANE * len(names) + FOOT,
        lanes=tuple(
            Lane(name=name, y=LANE * number, base=LANE * number + LANE // 2 + 4)
            for number, name in enumerate(names)
        ),
        bars=tuple(_bars(people, tasks, waits, end_min)),
        ticks=tuple(_ticks(end_min)),
    )


def _wait_lanes(tasks: Sequence[PlannedTask]) -> dict[int, int]:
    """For the place of each wait, the first adhesive's line that is free."""
    found: dict[int, int] = {}
    free_min: list[float] = []
    for place, task in enumerate(tasks):
        if task.hands:
            continue
        lane = next((n for n, end in enumerate(free_min) if end <= task.start_min), len(free_min))
        free_min[lane : lane + 1] = [task.end_min]
        found[place] = lane
    return found


def _bars(
    people: int, tasks: Sequence[PlannedTask], waits: dict[int, int], end_min: float
) -> Iterator[Bar]:
    for place, task in enumerate(tasks):
        lanes = [people + waits[place]] if place in waits else [one - 1 for one in task.people]
        span = f"{_clock(task.start_min)} to {_clock(task.end_min)}"
        x, end = _x(task.start_min, end_min), _x(task.end_min, end_min)
        for lane in lanes:
            yield Bar(
                x=x,
                y=LANE * lane + (LANE - BAR) // 2,
                width=max(2, end - x),
                text=_fitting((f"{place + 1} {task.name}", f"{place + 1}"), end - x),
                title=f"{place + 1} {task.name}, {span}",
                is_wait=place in waits,
                is_critical=task.is_critical,
            )


def _x(value_min: float, end_min: float) -> int:
    return NAMES + round(value_min / end_min * (WIDTH - NAMES - END))


def _fitting(texts: tuple[str, ...], width: int) -> str:
    """The longest words that fit; nothing where none do."""
    return next((text for text in texts if len(text) * LETTER + 8 <= width), "")


def _ticks(end_min: float) -> Iterator[Tick]:
    step_min = next((s for s in STEPS_MIN if end_min / s <= MOST_TICKS), STEPS_MIN[-1])
    for number in range(int(end_min // step_min) + 1):
        yield Tick(x=_x(number * step_min, end_min), text=_clock(number * step_min))


def _clock(value_min: float) -> str:
    whole = round(value_min)
    return f"{whole // 60}:{whole % 60:02d}"
