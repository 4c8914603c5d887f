"""Rails clamped across a cutout that leaves weak strips of stone."""

from collections.abc import Iterator

from crewjobs.domain import rails
from crewjobs.domain.drawings.stone import weak
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = f"needed by the beam check of the strips; two rails, 150 mm beyond the hole: {GUESS}"
VISITS = ON_SITE
RAILS = 2
BEYOND_MM = 150.0
CLAMPS = 2
"""For each rail."""


def lines(outing: Outing) -> Iterator[Line]:
    """Two rails with their clamps for each large cutout that the check calls weak."""
    limits = outing.job.limits
    for piece in outing.work.pieces:
        for cutout in piece.cutouts:
            if not cutout.is_made_on_site and weak(piece, cutout, limits):
                why = f"{cutout.kind} in {piece.name}"
                yield Line(
                    name="stiffener rail",
                    group=Group.HANDLING,
                    why=why,
                    value=float(RAILS),
                    size_mm=max(cutout.width_mm, cutout.height_mm) + 2 * BEYOND_MM,
                    caution=rails.CAUTION,
                )
                yield Line(
                    name="clamp for a stiffener",
                    group=Group.HANDLING,
                    why=why,
                    value=float(RAILS * CLAMPS),
                )
