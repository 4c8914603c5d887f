"""What fastens a dishwasher."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "the dishwasher in the run; its maker's instructions come first"
VISITS = ON_SITE


def lines(outing: Outing) -> Iterator[Line]:
    """One set of brackets, if one stands in the run."""
    if outing.work.has_dishwasher:
        yield Line(
            name="dishwasher bracket, a set",
            group=Group.MATERIALS,
            why="the dishwasher",
            caution="only fastened: connecting is a licensed trade's",
        )
