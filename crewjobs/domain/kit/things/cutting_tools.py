"""Saw, drill, bits and guide plates for what is cut on site."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import DRILLED, Outing, names

SOURCE = "each cut and hole that is made on site"
BITS_SOURCE = f"a core bit and a guide plate for each diameter: {GUESS}"
VISITS = ON_SITE
CAUTION = "wet or with vacuum, outside where it can be; the dust harms the lungs for life"


def lines(outing: Outing) -> Iterator[Line]:
    """A saw where stone is sawn; a drill with a bit for each diameter where it is drilled."""
    if sawn := outing.sawn:
        yield _tool("saw with water to the blade", names(sawn))
        yield _tool("blade for stone", names(sawn))
        yield _tool("polishing pads, a set", names(sawn))
    across = sorted({hole.width_mm for hole in outing.holes if hole.kind in DRILLED})
    drilled = [
        p for p in outing.work.pieces
        if any(hole.is_made_on_site and hole.kind in DRILLED for hole in p.cutouts)
    ]  # fmt: skip
    if across:
        yield _tool("core drill with water to the cut", names(drilled))
    for name in ("core bit", "guide plate"):
        for size_mm in across:
            yield Line(
                name=name,
                group=Group.TOOLS,
                why=f"holes in {names(drilled)}",
                size_mm=size_mm,
                source=BITS_SOURCE,
            )


def _tool(name: str, why: str) -> Line:
    return Line(name=name, group=Group.TOOLS, why=why, caution=CAUTION)
