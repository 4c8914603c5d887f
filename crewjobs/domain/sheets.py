"""What stands on a sheet of paper: a heading, and blocks of words, tables, ticks and drawings.

Whoever writes a sheet says what is on it; whoever shows it, in a page or on paper, chooses how. All
of it is plain words, already in the shop's units.
"""

from dataclasses import dataclass
from typing import ClassVar

from crewjobs.domain.drawings import Drawing

Row = tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Facts:
    """Names and what they stand for, line by line; of a long value each line breaks its own."""

    kind: ClassVar[str] = "facts"
    rows: tuple[tuple[str, str], ...]
    title: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """Rows under a head."""

    kind: ClassVar[str] = "table"
    title: str
    head: Row
    rows: tuple[Row, ...]
    figures: frozenset[int] = frozenset()
    """The columns of numbers, by their place from 0."""
    notes: tuple[str, ...] = ()
    has_ticks: bool = False
    """Each row begins with a box to tick."""
    has_names: bool = True
    """The first column says what its row is about."""

    @property
    def heads(self) -> tuple[tuple[str, bool], ...]:
        """Each head with whether numbers stand below it."""
        return tuple((head, at in self.figures) for at, head in enumerate(self.head))

    @property
    def cells(self) -> tuple[tuple[tuple[str, bool, str], ...], ...]:
        """Each cell with whether it is a number and the word at the head of its column."""
        return tuple(
            tuple((cell, at in self.figures, self.head[at]) for at, cell in enumerate(row))
            for row in self.rows
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Points:
    """One saying after the other, each with what it weighs, if it does."""

    kind: ClassVar[str] = "points"
    title: str
    points: tuple[tuple[str, str], ...]
    """A word such as `stop`, or none; and the saying."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Pictures:
    """Drawings side by side."""

    kind: ClassVar[str] = "pictures"
    title: str
    drawings: tuple[Drawing, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Blank:
    """Lines to write on."""

    kind: ClassVar[str] = "blank"
    title: str
    lines: int = 6

    @property
    def each(self) -> range:
        """Line by line."""
        return range(self.lines)


Block = Facts | Table | Points | Pictures | Blank


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """Everything that one visit, or whatever it is about, needs on paper."""

    heading: str
    under: str
    """What stands below the heading."""
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...]
    """The words that stand at its end, whatever is on it."""
