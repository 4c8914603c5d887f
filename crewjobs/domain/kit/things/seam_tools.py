"""What pulls a seam together, levels it and cleans it."""

from collections.abc import Iterator
from math import ceil

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = f"a puller each 400 mm of the longest seam and two at least, seam after seam: {GUESS}"
TAPE_SOURCE = f"tape along both sides: {GUESS}"
BLADES_SOURCE = f"a blade a seam: {GUESS}"
VISITS = ON_SITE
EVERY_MM = 400.0
LEAST = 2


def lines(outing: Outing) -> Iterator[Line]:
    """Pullers for the longest seam; tape and blades for all of them."""
    seams = outing.work.seams
    if not seams:
        return
    why = f"seams {', '.join(seam.name for seam in seams)}"
    longest = max(seams, key=lambda seam: seam.length_mm)
    yield Line(
        name="seam puller and leveler",
        group=Group.TOOLS,
        why=f"seam {longest.name}, the longest",
        value=float(max(LEAST, ceil(longest.length_mm / EVERY_MM))),
    )
    yield Line(
        name="masking tape",
        group=Group.MATERIALS,
        why=why,
        value=2 * sum(seam.length_mm for seam in seams),
        unit=Unit.LENGTH,
        source=TAPE_SOURCE,
    )
    yield Line(
        name="scraper blade",
        group=Group.MATERIALS,
        why=why,
        value=float(len(seams)),
        source=BLADES_SOURCE,
    )
