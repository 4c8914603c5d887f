"""One line of a visit's kit: a thing, how much of it, why, and by which rule."""

from dataclasses import dataclass
from enum import StrEnum

GUESS = "common practice, not measured"
"""Where a rule is no more than that."""


class Group(StrEnum):
    """Where a line stands on the list, in the order of loading."""

    HANDLING = "To carry with"
    TOOLS = "Tools"
    MATERIALS = "Materials"
    PEOPLE = "For people"
    HOUSE = "For the house"
    PAPERS = "Papers"


class Unit(StrEnum):
    """What an amount counts."""

    COUNT = "count"
    LENGTH = "mm"
    AREA = "m2"
    VOLUME = "ml"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One thing to bring."""

    name: str
    group: Group
    why: str
    """Which piece, seam or task asks for it."""
    value: float | None = 1.0
    """How much of it, by its unit; None: as the work shows, no rule counts it."""
    unit: Unit = Unit.COUNT
    size_mm: float | None = None
    """Of each, where its size matters: a length, or a drill's diameter."""
    load_kg: float | None = None
    """What each has to bear at least."""
    source: str = ""
    """Of the rule that counts it."""
    caution: str = ""
