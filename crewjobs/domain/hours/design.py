"""Finished visits as rows of a linear model, made linear about the pace of the moment.

Knows which columns there are and how the makespan leans on them; refuses to know how coefficients
are found. By the envelope theorem only the deciding chain moves the end, so that the share of each
element on the chain is the slope of the logarithm of the hours.
"""

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import exp, inf, isfinite, log
from typing import NamedTuple

import numpy as np

from crewjobs.domain.facts import Team, VisitKind, Work
from crewjobs.domain.hours import elements
from crewjobs.domain.hours.pace import (
    DRIFT,
    LEVEL,
    PRIOR,
    TASK_LOG,
    Pace,
    crew_column,
    element_column,
    trend_column,
)
from crewjobs.domain.hours.ready import TRENDS, Ready, Spent
from crewjobs.domain.hours.robust import Array, Group, Spreads

BLOCK = 25
"""After how many visits the level may step."""

CLOCK_LOG = 0.15
"""Not measured: how much worse a single element is clocked than a whole visit."""

Sum = Callable[[Ready, Mapping[str, float]], Spent]
"""A way of making the hours of a visit out of the minutes of its tasks."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Finished:
    """A visit that is over, and how long it took.

    Raises
    ------
    ValueError
        If it took no time, or an element that was clocked took none or does not exist.
    """

    name: str
    """What tells it from all others."""
    visit_kind: VisitKind
    work: Work
    team: Team
    """Its name is that of the crew; empty for a crew that nobody named."""
    actual_min: float
    finished_on: date
    element_minutes: Mapping[str, float] = field(default_factory=dict)
    """Of elements clocked by themselves: their tasks from start to end, added up."""
    is_confirmed: bool = False
    """The office has looked at it: it is right, however odd it looks."""

    def __post_init__(self) -> None:
        for value in (self.actual_min, *self.element_minutes.values()):
            if not isfinite(value) or value <= 0:
                raise ValueError(f"visit {self.name} took {value:g} min, it must be more than 0")
        known = {element.name for element in elements.found()}
        if unknown := sorted(self.element_minutes.keys() - known):
            raise ValueError(f"there is no element {unknown[0]}")


class Record(NamedTuple):
    """A finished visit and its network."""

    finished: Finished
    ready: Ready


class Clocked(NamedTuple):
    """Minutes of one element of a visit that were taken by themselves."""

    record: Record
    element: str
    actual_min: float
    standard_min: float


class Linear(NamedTuple):
    """What the coefficients of the moment expect, and how it leans on them."""

    expected_log: Array
    design: Array
    tasks_variance: Array


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """The columns: level, its steps, elements of work and of waiting, crews, trends."""

    steps_on: tuple[date, ...]
    crews: tuple[str, ...]
    columns: tuple[str, ...] = field(init=False)
    place: Mapping[str, int] = field(init=False)

    def __post_init__(self) -> None:
        work = (e.name for e in elements.found() if not e.is_wait)
        waits = (e.name for e in elements.found() if e.is_wait)
        columns = (
            LEVEL,
            *(f"step {number}" for number in range(len(self.steps_on))),
            *map(element_column, (*work, *waits)),
            *map(crew_column, self.crews),
            *map(trend_column, TRENDS),
        )
        object.__setattr__(self, "columns", columns)
        object.__setattr__(self, "place", {name: n for n, name in enumerate(columns)})

    def groups(self) -> tuple[Group, ...]:
        """The columns that share a spread."""
        waits = sum(element.is_wait for element in elements.found())
        sizes = (
            (1, PRIOR.level_log, inf),
            (len(self.steps_on), PRIOR.step_log, 4.0),
            (len(elements.found()) - waits, PRIOR.element_log, 10.0),
            (waits, PRIOR.wait_log, inf),
            (len(self.crews), PRIOR.crew_log, 6.0),
            (len(TRENDS), PRIOR.trend_log, 5.0),
        )
        groups, start = [], 0
        for size, prior_log, worth in sizes:
            columns = slice(start, start + size)
            groups.append(Group(columns=columns, prior_log=prior_log, worth_factor=worth))
            start += size
        return tuple(groups)

    def steps_before(self, day: date) -> int:
        """How many steps of the level came before the end of a day."""
        return bisect_right(self.steps_on, day)

    def factors(self, mean: Array, steps: int) -> dict[str, float]:
        """The factors on each element after some steps of the level."""
        moved_log = float(mean[: steps + 1].sum())
        return {
            e.name: exp(mean[self.place[element_column(e.name)]] + (0 if e.is_wait else moved_log))
            for e in elements.found()
        }


def layout(records: Sequence[Record]) -> Layout:
    """The columns that these records speak of; steps lie at the day of every 25th visit."""
    days = sorted(record.finished.finished_on for record in records)
    cuts = {days[n] for n in range(BLOCK, len(days) - BLOCK // 2, BLOCK)} - set(days[:1])
    crews = {record.finished.team.name for record in records} - {""}
    return Layout(steps_on=tuple(sorted(cuts)), crews=tuple(sorted(crews)))


def linear(
    layout: Layout, records: Sequence[Record], clocked: Sequence[Clocked], added: Sum, mean: Array
) -> Linear:
    """All records, then all single elements, about the coefficients of the moment."""
    paces = [layout.factors(mean, steps) for steps in range(len(layout.steps_on) + 1)]
    rows = np.zeros((len(records) + len(clocked), len(layout.columns)))
    base_log, variance = np.zeros(len(rows)), np.zeros(len(rows))
    for row, record in enumerate(records):
        steps = layout.steps_before(record.finished.finished_on)
        spent = added(record.ready, paces[steps])
        base_log[row] = log(spent.whole_min)
        variance[row] = TASK_LOG**2 * spent.tasks_share
        _lean(layout, rows[row], record, spent.minutes)
        for name, value in record.ready.trends.items():
            rows[row, layout.place[trend_column(name)]] = value
    for row, single in enumerate(clocked, start=len(records)):
        steps = layout.steps_before(single.record.finished.finished_on)
        base_log[row] = log(single.standard_min * paces[steps][single.element])
        variance[row] = TASK_LOG**2 / 2 + CLOCK_LOG**2
        _lean(layout, rows[row], single.record, {single.element: 1.0})
    whole = slice(len(layout.columns) - len(TRENDS) - len(layout.crews), None)
    return Linear(base_log + rows[:, whole] @ mean[whole], rows, variance)


def _lean(layout: Layout, row: Array, record: Record, minutes: Mapping[str, float]) -> None:
    """Level, steps, elements and crew, as far as these minutes lean on them."""
    whole_min, work_share = sum(minutes.values()) or 1.0, 0.0
    for name, spent_min in minutes.items():
        row[layout.place[element_column(name)]] = spent_min / whole_min
        work_share += 0.0 if elements.waits(name) else spent_min / whole_min
    row[: layout.steps_before(record.finished.finished_on) + 1] = work_share
    crew = layout.place.get(crew_column(record.finished.team.name))
    if crew is not None:
        row[crew] = 1.0


def as_of_now(layout: Layout, mean: Array, covariance: Array, spreads: Spreads) -> Pace:
    """The pace after the last step; the steps become one drift since the beginning."""
    steps = len(layout.steps_on)
    now = np.zeros((len(layout.columns) - steps + 1, len(layout.columns)))
    now[0, 0] = 1.0
    now[1, 1 : steps + 1] = 1.0
    now[2:, steps + 1 :] = np.eye(len(layout.columns) - steps - 1)
    _, step_log, _, _, crew_log, _ = spreads.groups_log
    return Pace(
        columns=(LEVEL, DRIFT, *layout.columns[steps + 1 :]),
        mean=now @ mean,
        covariance=now @ covariance @ now.T,
        job_log=spreads.job_log,
        crew_log=crew_log,
        step_log=step_log,
    )
