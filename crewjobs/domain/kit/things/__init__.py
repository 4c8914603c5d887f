"""The things of a kit: one file a kind of thing, found by its name.

A file holds ``SOURCE``, its rule and where that comes from; ``VISITS``, the kinds of visit that it
is brought to; and ``lines(outing)``, which yields what is to be brought. Things do not know each
other.
"""

import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace

from crewjobs.domain import catalogue
from crewjobs.domain.kit.lines import Group, Line
from crewjobs.domain.kit.outings import Outing

ORDER = list(Group)


def kit(outing: Outing) -> tuple[Line, ...]:
    """Everything that a visit asks for, by group and then by thing.

    Examples
    --------
    >>> from crewjobs.domain.facts import Job, VisitKind, Work
    >>> level = Outing.of(Job(work=Work(cabinet_run_mm=3000)), VisitKind.INSTALL, {})
    >>> [line.value for line in kit(level) if line.name == "shims"]
    [10.0]
    """
    return tuple(sorted(_lines(outing), key=lambda line: ORDER.index(line.group)))


def titles() -> Mapping[str, str]:
    """The title of every kind of thing by the name of its file."""
    found = catalogue.modules(sys.modules[__name__])
    return {name: (module.__doc__ or name).splitlines()[0] for name, module in found}


def _lines(outing: Outing) -> Iterator[Line]:
    for _, module in catalogue.modules(sys.modules[__name__]):
        if outing.kind in module.VISITS:
            for line in module.lines(outing):
                yield line if line.source else replace(line, source=module.SOURCE)
