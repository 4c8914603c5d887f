"""Adhesive for each seam in its own color, with hardener, cups and cleaner."""

from collections.abc import Iterator

from crewjobs.domain.adhesives import Mixed
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = (
    "length x thickness x gap of 1.5 mm (stone manual), and the shop's share of waste, which is "
    "not measured"
)
HARDENER_SOURCE = f"2 parts in 100 of polyester: {GUESS}; the maker's sheet comes first"
CUPS_SOURCE = "one a batch, by its volume and its working time"
VISITS = ON_SITE
HARDENER_SHARE = 0.02
CAUTION = "gloves, fresh air, no flame; the maker's sheet comes first"


def lines(outing: Outing) -> Iterator[Line]:
    """Each seam's own adhesive, then what all seams need."""
    found = outing.mixed
    for each in found:
        yield Line(
            name=f"{each.seam.adhesive or 'adhesive, color not chosen'}, {each.seam.method}",
            group=Group.MATERIALS,
            why=f"seam {each.seam.name}",
            value=each.takes.volume_ml,
            unit=Unit.VOLUME,
            caution=CAUTION,
        )
    if found:
        yield from _for_all(found)


def _for_all(found: tuple[Mixed, ...]) -> Iterator[Line]:
    why = f"seams {', '.join(each.seam.name for each in found)}"
    yield Line(
        name="hardener",
        group=Group.MATERIALS,
        why=why,
        value=HARDENER_SHARE * sum(each.takes.volume_ml for each in found),
        unit=Unit.VOLUME,
        source=HARDENER_SOURCE,
        caution=CAUTION,
    )
    yield Line(
        name="mixing cup and stick",
        group=Group.MATERIALS,
        why=why,
        value=float(sum(each.takes.batches for each in found)),
        source=CUPS_SOURCE,
    )
    yield Line(
        name="cleaner for the joints",
        group=Group.MATERIALS,
        why=why,
        value=None,
        source=GUESS,
        caution=CAUTION,
    )
