"""Levels, a straightedge and shims for the cabinets."""

from collections.abc import Iterator
from math import ceil

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "stone manual: 1/16 in under a straightedge of 4 ft, 1/8 in over 10 ft"
SHIMS_SOURCE = f"a pair each 600 mm of cabinets, a usual cabinet's width: {GUESS}"
VISITS = ON_SITE
SHORT_MM, LONG_MM = 1219.2, 3048.0
EVERY_MM = 600.0


def lines(outing: Outing) -> Iterator[Line]:
    """The straightedges that the tolerances speak of, and shims by the run of cabinets."""
    run_mm = outing.work.cabinet_run_mm
    why = "the cabinets and the stone on them"
    if run_mm or outing.work.pieces:
        yield Line(name="level", group=Group.TOOLS, why=why, size_mm=SHORT_MM)
    if max([run_mm, *(piece.length_mm for piece in outing.work.pieces)]) > SHORT_MM:
        yield Line(name="straightedge", group=Group.TOOLS, why=why, size_mm=LONG_MM)
    if run_mm and outing.kind is VisitKind.INSTALL:
        yield Line(
            name="shims",
            group=Group.MATERIALS,
            why="leveling the cabinets",
            value=float(2 * ceil(run_mm / EVERY_MM)),
            source=SHIMS_SOURCE,
        )
