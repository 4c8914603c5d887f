"""What holds an undermount sink until its adhesive is hard, and for good."""

from collections.abc import Iterator
from math import ceil

from crewjobs.domain.facts import CutoutKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = f"two braces a sink, a clip each 250 mm of its rim: {GUESS}; the sink's maker comes first"
VISITS = ON_SITE
BRACES = 2
EVERY_MM = 250.0


def lines(outing: Outing) -> Iterator[Line]:
    """Braces and clips for each sink that is hung on site."""
    for piece in outing.work.pieces:
        for cutout in piece.cutouts:
            if cutout.kind is CutoutKind.UNDERMOUNT_SINK and not cutout.is_set_in_shop:
                why = f"{cutout.kind} in {piece.name}"
                rim_mm = 2 * (cutout.width_mm + cutout.height_mm)
                yield Line(name="brace for a sink", group=Group.TOOLS, why=why, value=float(BRACES))
                yield Line(
                    name="sink clip",
                    group=Group.MATERIALS,
                    why=why,
                    value=float(ceil(rim_mm / EVERY_MM)),
                )
