"""The parts of the work: one file each, found by its name.

A file holds ``SOURCE``; ``VISITS``, the kinds of visit that it belongs to; ``STANDARD``, its
standard minutes by name; ``steps(visit, minutes)``, which yields what it adds; and ``IS_WAIT``
where only adhesive works. The file's name is the element's name, its docstring the title. Elements
do not know each other.
"""

import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from crewjobs.domain import catalogue
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Extra, Minutes, Prior, Step, Visit


@dataclass(frozen=True, kw_only=True, slots=True)
class Element:
    """One part of the work."""

    name: str
    title: str
    source: str
    visits: frozenset[VisitKind]
    standard: Mapping[str, Prior]
    steps: Callable[[Visit, Minutes], Iterable[Step | Extra]]
    is_wait: bool
    """Whether only adhesive works: no crew makes it quicker."""
    usual: Minutes
    """The prior values by their short names."""

    def minutes(self, changed: Mapping[str, float]) -> Minutes:
        """The element's standard minutes, where the full name is among those `changed`."""
        if not changed:
            return self.usual
        return {
            name: changed.get(f"{self.name}.{name}", usual_min)
            for name, usual_min in self.usual.items()
        }


@cache
def found() -> tuple[Element, ...]:
    """Every element of the folder, by name."""
    return tuple(
        Element(
            name=name,
            title=(module.__doc__ or name).splitlines()[0].rstrip("."),
            source=module.SOURCE,
            visits=module.VISITS,
            standard=module.STANDARD,
            steps=module.steps,
            is_wait=getattr(module, "IS_WAIT", False),
            usual={name: prior.value_min for name, prior in module.STANDARD.items()},
        )
        for name, module in catalogue.modules(sys.modules[__name__])
    )


@cache
def waits(name: str) -> bool:
    """Whether an element only waits for adhesive."""
    return any(element.is_wait for element in found() if element.name == name)
