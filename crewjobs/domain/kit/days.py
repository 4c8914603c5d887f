"""The kit of a truck's day: what is used up adds up, what is used again is brought once.

Knows the kits of single visits; refuses to know the stops' order and what a truck has on it anyway.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from crewjobs.domain.kit.lines import Group, Line, Unit

USED_UP = frozenset({Group.MATERIALS})
"""Everything else is taken along from stop to stop."""

_Key = tuple[Group, str, Unit, float | None]


def of_day(kits: Mapping[str, Sequence[Line]]) -> tuple[Line, ...]:
    """One list for all visits by their names: sums of what is used up, the most of all else.

    Examples
    --------
    >>> cup = Line(name="cup", group=Group.MATERIALS, why="seam A", value=2.0)
    >>> saw = Line(name="saw", group=Group.TOOLS, why="A", value=1.0)
    >>> for line in of_day({"first": [saw, cup], "second": [saw, cup]}):
    ...     print(line.value, line.name, "for", line.why)
    1.0 saw for first: A; second: A
    4.0 cup for first: seam A; second: seam A
    """
    found: dict[_Key, dict[str, list[Line]]] = {}
    for visit, lines in kits.items():
        for line in lines:
            key = line.group, line.name, line.unit, line.size_mm
            found.setdefault(key, {}).setdefault(visit, []).append(line)
    merged = [_merged(by_visit) for by_visit in found.values()]
    return tuple(sorted(merged, key=lambda line: list(Group).index(line.group)))


def _merged(by_visit: Mapping[str, Sequence[Line]]) -> Line:
    """One line of all visits that ask for the same thing."""
    lines = [line for each in by_visit.values() for line in each]
    sums = _sums(by_visit)
    known = [value for value in sums if value is not None]
    together = sum if lines[0].group in USED_UP else max
    loads = [line.load_kg for line in lines if line.load_kg is not None]
    return replace(
        lines[0],
        value=together(known) if len(known) == len(sums) else None,
        load_kg=max(loads, default=None),
        why="; ".join(
            f"{visit}: {', '.join(dict.fromkeys(line.why for line in each))}"
            for visit, each in by_visit.items()
        ),
        source="; ".join(dict.fromkeys(line.source for line in lines)),
        caution="; ".join(dict.fromkeys(line.caution for line in lines if line.caution)),
    )


def _sums(by_visit: Mapping[str, Sequence[Line]]) -> list[float | None]:
    """What each visit asks for; None where a part of it is as the work shows."""
    values = [[line.value for line in lines] for lines in by_visit.values()]
    return [None if None in each else sum(value or 0.0 for value in each) for each in values]
