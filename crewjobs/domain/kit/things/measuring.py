"""What measures a kitchen."""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = f"one set a visit: {GUESS}"
STRIPS_SOURCE = f"a line at the wall and a line at the front of the cabinets: {GUESS}"
VISITS = frozenset({VisitKind.TEMPLATE})
TOOLS = ("laser or tape measure", "angle gauge", "level", "camera")


def lines(outing: Outing) -> Iterator[Line]:
    """The measuring tools, and strips by the run of cabinets."""
    for name in TOOLS:
        yield Line(name=name, group=Group.TOOLS, why="cabinets, walls and the way in")
    if run_mm := outing.work.cabinet_run_mm:
        yield Line(
            name="template strip",
            group=Group.MATERIALS,
            why="the run of cabinets, unless it is measured by laser",
            value=2 * run_mm,
            unit=Unit.LENGTH,
            source=STRIPS_SOURCE,
        )
