"""Tape on which drop-in sinks and cooktops lie."""

from collections.abc import Iterator

from crewjobs.domain.facts import CutoutKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = f"once round each opening: {GUESS}; the appliance's maker comes first"
VISITS = ON_SITE
LAID_IN = frozenset({CutoutKind.DROP_IN_SINK, CutoutKind.COOKTOP})


def lines(outing: Outing) -> Iterator[Line]:
    """The tape for each of them."""
    for piece in outing.work.pieces:
        for cutout in piece.cutouts:
            if cutout.kind in LAID_IN:
                yield Line(
                    name="sealing tape",
                    group=Group.MATERIALS,
                    why=f"{cutout.kind} in {piece.name}",
                    value=2 * (cutout.width_mm + cutout.height_mm),
                    unit=Unit.LENGTH,
                )
