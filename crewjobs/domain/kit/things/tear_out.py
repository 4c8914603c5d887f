"""What takes the old tops out."""

from collections.abc import Iterator
from math import ceil

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = f"a bar for each of two people, a bag a metre of old top: {GUESS}"
VISITS = frozenset({VisitKind.INSTALL})
BARS = 2
BAG_MM = 1000.0


def lines(outing: Outing) -> Iterator[Line]:
    """Tools and bags, if there are old tops."""
    old_mm = outing.work.tear_out_mm
    if old_mm:
        caution = "water, gas and electricity are off: a licensed trade's work"
        for name, value in (("pry bar", float(BARS)), ("oscillating cutter", 1.0)):
            yield Line(name=name, group=Group.TOOLS, why="old tops", value=value, caution=caution)
        yield Line(
            name="waste bag",
            group=Group.MATERIALS,
            why="old tops",
            value=float(ceil(old_mm / BAG_MM)),
        )
