"""What a model has learned, element by element and crew by crew.

Knows how far each factor lies from the standard minutes and how sure that is; refuses to say why.
"""

from dataclasses import dataclass
from math import exp, sqrt

import numpy as np

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.model import Model
from crewjobs.domain.hours.pace import DRIFT, LEVEL, Pace, crew_column, element_column

SURE_SD = 1.2816
"""Four of five factors lie as many standard deviations about the mean: a normal quantile."""

CREW = crew_column("")
"""What the name of every crew's column begins with."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Lesson:
    """By what something is multiplied, and between which limits four of five such factors lie."""

    title: str
    low_factor: float
    factor: float
    high_factor: float

    @property
    def is_known(self) -> bool:
        """Whether the limits lie on one side of 1: quicker or slower, not just unknown."""
        return self.low_factor > 1 or self.high_factor < 1


def by_element(model: Model) -> tuple[Lesson, ...]:
    """What the standard minutes of each element are multiplied by, for a usual crew.

    Examples
    --------
    >>> lesson = by_element(Model())[0]
    >>> lesson.title, lesson.factor, lesson.is_known
    ('Walk through the site and protect the floor', 1.0, False)
    """
    return tuple(
        _lesson(
            model.network,
            element.title,
            {element_column(element.name): 1.0}
            | ({} if element.is_wait else {LEVEL: 1.0, DRIFT: 1.0}),
        )
        for element in elements.found()
    )


def by_crew(model: Model) -> tuple[Lesson, ...]:
    """What the hours of each crew are multiplied by, beside a usual crew of the shop."""
    columns = [column for column in model.network.columns if column.startswith(CREW)]
    return tuple(_lesson(model.network, c.removeprefix(CREW), {c: 1.0}) for c in columns)


def _lesson(pace: Pace, title: str, values: dict[str, float]) -> Lesson:
    row = np.array([values.get(column, 0.0) for column in pace.columns])
    mean_log, sd_log = float(row @ pace.mean), sqrt(float(row @ pace.covariance @ row))
    low, mean, high = (exp(mean_log + away * sd_log) for away in (-SURE_SD, 0.0, SURE_SD))
    return Lesson(title=title, low_factor=low, factor=mean, high_factor=high)
