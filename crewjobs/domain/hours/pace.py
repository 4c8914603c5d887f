"""The pace of a shop, for one way of adding up its minutes, and what it says of one visit.

Knows posterior means and covariances by the names of their columns; refuses to know how they came
about.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import exp, log, sqrt
from typing import NamedTuple

import numpy as np

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.ready import TRENDS, Ready, Spent
from crewjobs.domain.hours.robust import Array

LEVEL, DRIFT = "level", "drift"

TASK_LOG = 0.25
"""How much a single task varies: a visit of few tasks is less certain. Not measured."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Prior:
    """How far the hours may be off before any visit: standard deviations of logarithms."""

    level_log: float = 0.25
    """The shop's pace over all work; adhesive does not care."""
    step_log: float = 0.01
    """How far the level moves in 25 visits; a shop that does change soon says so itself."""
    element_log: float = 0.25
    """The pace of each element by itself."""
    wait_log: float = 0.10
    """How long adhesive takes."""
    crew_log: float = 0.10
    """The pace of a crew."""
    trend_log: float = 0.05
    """What sets a whole visit apart from the sum of its parts."""
    job_log: float = 0.18
    """What makes one job unlike another."""


PRIOR = Prior()
"""Not measured."""


def element_column(name: str) -> str:
    """The column of an element's factor."""
    return f"element {name}"


def crew_column(name: str) -> str:
    """The column of a crew's factor."""
    return f"crew {name}"


def trend_column(name: str) -> str:
    """The column of a trend."""
    return f"trend {name}"


class View(NamedTuple):
    """What one way of adding up says of a visit's logarithm."""

    mean_log: float
    sd_log: float
    """Of a single visit, gross errors aside."""
    spent: Spent


@dataclass(frozen=True, kw_only=True, eq=False)
class Pace:
    """The coefficients of one way of adding up, as of the last visit that was learned from."""

    columns: tuple[str, ...]
    mean: Array
    covariance: Array
    job_log: float
    crew_log: float
    """The spread of crews, for one that has not been seen."""
    step_log: float
    """How far the level may have moved since; 0 where no drift was looked for."""
    place: Mapping[str, int] = field(init=False)
    factors: Mapping[str, float] = field(init=False)
    """On each element's standard minutes, the level and its drift included."""

    def __post_init__(self) -> None:
        place = {name: number for number, name in enumerate(self.columns)}
        object.__setattr__(self, "place", place)
        object.__setattr__(self, "factors", self._factors())

    def _factors(self) -> dict[str, float]:
        moved_log = self.log(LEVEL) + self.log(DRIFT)
        return {
            element.name: exp(
                self.log(element_column(element.name)) + (0 if element.is_wait else moved_log)
            )
            for element in elements.found()
        }

    def log(self, column: str) -> float:
        """The coefficient of a column, 0 if it has none.

        Examples
        --------
        >>> unlearned_pace().log("crew nobody")
        0.0
        """
        place = self.place.get(column)
        return 0.0 if place is None else float(self.mean[place])

    def view(self, ready: Ready, spent: Spent) -> View:
        """What is to be expected when these minutes decide the hours."""
        row = np.zeros(len(self.columns))
        for column, value in self._values(ready, spent).items():
            if column in self.place:
                row[self.place[column]] = value
        variance = float(row @ self.covariance @ row) + self.job_log**2 + self.step_log**2
        variance += TASK_LOG**2 * spent.tasks_share
        if crew_column(ready.visit.team.name) not in self.place:
            variance += self.crew_log**2
        mean_log = log(spent.whole_min) + self.whole_log(ready)
        return View(mean_log, sqrt(variance), spent)

    def _values(self, ready: Ready, spent: Spent) -> dict[str, float]:
        """How much each column says of a visit."""
        whole_min = spent.whole_min
        shares = {name: minutes / whole_min for name, minutes in spent.minutes.items()}
        work_share = sum(share for name, share in shares.items() if not elements.waits(name))
        return (
            {element_column(name): share for name, share in shares.items()}
            | {trend_column(name): value for name, value in ready.trends.items()}
            | {LEVEL: work_share, DRIFT: work_share, crew_column(ready.visit.team.name): 1.0}
        )

    def whole_log(self, ready: Ready) -> float:
        """What the crew and the trends add to a visit's logarithm."""
        crew_log = self.log(crew_column(ready.visit.team.name))
        return crew_log + sum(
            value * self.log(trend_column(name)) for name, value in ready.trends.items()
        )


@cache
def unlearned_pace(prior: Prior = PRIOR) -> Pace:
    """The pace before any visit is done: the standard minutes, and how far off they may be."""
    spreads_log = {LEVEL: prior.level_log, DRIFT: 0.0}
    for element in elements.found():
        spread_log = prior.wait_log if element.is_wait else prior.element_log
        spreads_log[element_column(element.name)] = spread_log
    spreads_log |= {trend_column(name): prior.trend_log for name in TRENDS}
    return Pace(
        columns=tuple(spreads_log),
        mean=np.zeros(len(spreads_log)),
        covariance=np.diag(np.square(list(spreads_log.values()))),
        job_log=prior.job_log,
        crew_log=prior.crew_log,
        step_log=0.0,
    )
