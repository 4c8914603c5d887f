"""The data sheets of what is brought, and the first-aid kit."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "data sheets at hand in every shift: 29 CFR 1910.1200(g)(8), from memory"
VISITS = ON_SITE


def lines(outing: Outing) -> Iterator[Line]:
    """Data sheets for each product, where there are any; first aid always."""
    products = sorted({seam.adhesive or str(seam.method) for seam in outing.work.seams})
    if products:
        yield Line(
            name="safety data sheet",
            group=Group.PAPERS,
            why=", ".join([*products, "cleaner", "silicone"]),
            value=float(len(products) + 2),
        )
    yield Line(
        name="first-aid kit with eye wash", group=Group.PEOPLE, why="every visit", source=GUESS
    )
