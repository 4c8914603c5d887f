"""One element by itself, with its own standard minutes."""

from collections.abc import Iterable
from typing import Any

import pytest

from crewjobs.domain.facts import Team, VisitKind, Work
from crewjobs.domain.hours import elements
from crewjobs.domain.hours.steps import Visit
from tests import make


def items(
    element: str, work: Work | None = None, *, hands: int = 2, kind: VisitKind = VisitKind.INSTALL
) -> list[Any]:
    """The steps and extras that it adds to a visit."""
    visit = Visit(kind=kind, work=work or make.work(), team=Team(hands=hands))
    (found,) = (e for e in elements.found() if e.name == element)
    return list(found.steps(visit, found.usual))


def spans(steps: Iterable[Any]) -> Any:
    """The minutes of each, to be compared with what the hand works out."""
    return pytest.approx([step.normal_min for step in steps], abs=1e-9)
