"""What each person wears."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = f"one a person: {GUESS}"
VISITS = ON_SITE
WORN = ("gloves, pair", "safety shoes, pair", "eye protection")


def lines(outing: Outing) -> Iterator[Line]:
    """Gloves, shoes and glasses; ear protection where stone is cut."""
    people = outing.job.team.hands
    for name in WORN if outing.work.pieces else ():
        yield Line(name=name, group=Group.PEOPLE, why="stone in hands", value=float(people))
    if outing.cuts:
        why = ", ".join(each.name for each in outing.cuts)
        yield Line(name="ear protection", group=Group.PEOPLE, why=why, value=float(people))
