"""How well earlier estimates foretold the hours, by crew, by element and by month.

Knows pairs of what was foretold and what came; refuses to know which records to believe: leave out
those that the office has excluded.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import nan
from statistics import fmean, median


@dataclass(frozen=True, kw_only=True, slots=True)
class Pair:
    """A visit's estimate as it stood before, and what came of it."""

    finished_on: date
    crew: str
    p50_min: float
    p80_min: float
    p90_min: float
    actual_min: float
    element_pairs: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Of elements that were clocked by themselves: foretold and actual minutes."""


@dataclass(frozen=True, kw_only=True, slots=True)
class AccuracyRow:
    """How well one group of visits was foretold."""

    by: str
    """all, crew, element or month"""
    name: str
    visits: int
    error_share: float
    """The mean of how far the P50 was off, as a share of what came."""
    bias_share: float
    """By how much what came lay above the P50 in the middle visit; below 0 it came sooner."""
    kept80_share: float
    """How many kept the P80; not a number for elements, which have none."""
    kept90_share: float


def rows(pairs: Sequence[Pair]) -> tuple[AccuracyRow, ...]:
    """One row for all visits, then one for each crew, each element and each month, by name.

    Examples
    --------
    >>> pair = Pair(finished_on=date(2026, 6, 3), crew="Red", p50_min=100, p80_min=120,
    ...             p90_min=130, actual_min=125)
    >>> [(row.by, row.name, row.error_share, row.kept80_share) for row in rows([pair])]
    [('all', '', 0.2, 0.0), ('crew', 'Red', 0.2, 0.0), ('month', '2026-06', 0.2, 0.0)]
    """
    if not pairs:
        return ()
    found = [_row("all", "", pairs), *_groups("crew", pairs, lambda pair: pair.crew)]
    found += _element_rows(pairs)
    found += _groups("month", pairs, lambda pair: f"{pair.finished_on:%Y-%m}")
    return tuple(found)


def _groups(
    by: str, pairs: Sequence[Pair], name_of: Callable[[Pair], str]
) -> Iterator[AccuracyRow]:
    for name in sorted(set(map(name_of, pairs))):
        yield _row(by, name, [pair for pair in pairs if name_of(pair) == name])


def _row(by: str, name: str, pairs: Sequence[Pair]) -> AccuracyRow:
    error_share, bias_share = _off((pair.p50_min, pair.actual_min) for pair in pairs)
    return AccuracyRow(
        by=by,
        name=name,
        visits=len(pairs),
        error_share=error_share,
        bias_share=bias_share,
        kept80_share=fmean(pair.actual_min <= pair.p80_min for pair in pairs),
        kept90_share=fmean(pair.actual_min <= pair.p90_min for pair in pairs),
    )


def _element_rows(pairs: Sequence[Pair]) -> Iterator[AccuracyRow]:
    for name in sorted({name for pair in pairs for name in pair.element_pairs}):
        off = [pair.element_pairs[name] for pair in pairs if name in pair.element_pairs]
        error_share, bias_share = _off(off)
        yield AccuracyRow(
            by="element",
            name=name,
            visits=len(off),
            error_share=error_share,
            bias_share=bias_share,
            kept80_share=nan,
            kept90_share=nan,
        )


def _off(pairs: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """The mean absolute error and the middle error, as shares."""
    held = tuple(pairs)
    errors = [abs(foretold_min - actual_min) / actual_min for foretold_min, actual_min in held]
    return fmean(errors), median(actual / foretold - 1 for foretold, actual in held)
