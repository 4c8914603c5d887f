"""The standard minutes of all elements, as a shop sees and edits them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite

from crewjobs.domain.hours import elements


@dataclass(frozen=True, kw_only=True, slots=True)
class StandardTime:
    """One standard time: its name in overrides, its prior value, what one of it stands for."""

    name: str
    value_min: float
    note: str
    source: str
    element: str
    """The title of the element."""


@cache
def standard_minutes() -> tuple[StandardTime, ...]:
    """Every standard time of every element.

    Examples
    --------
    >>> [t.value_min for t in standard_minutes() if t.name == "cooktop.cooktop_min"]
    [7.0]
    """
    return tuple(
        StandardTime(
            name=f"{element.name}.{name}",
            value_min=prior.value_min,
            note=prior.note,
            source=prior.source,
            element=element.title,
        )
        for element in elements.found()
        for name, prior in element.standard.items()
    )


@cache
def _names() -> frozenset[str]:
    return frozenset(time.name for time in standard_minutes())


def check(standard: Mapping[str, float]) -> None:
    """Refuse changed standard times that nothing would use, or that no work can take.

    Raises
    ------
    ValueError
        Naming the time and its value.
    """
    if unknown := sorted(standard.keys() - _names()):
        raise ValueError(f"there is no standard time {unknown[0]}")
    for name, value_min in standard.items():
        if not isfinite(value_min) or value_min < 0:
            raise ValueError(f"{name} is {value_min:g}, the least is 0")
