"""Silicone for the joints at walls and sinks."""

from collections.abc import Iterator
from math import ceil

from crewjobs.domain.facts import Cutout, CutoutKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = (
    "a bead 5 mm wide and 5 mm high along each piece and round each sink, 15 % wasted, tubes of "
    f"310 ml: {GUESS}"
)
VISITS = ON_SITE
BEAD_MM2 = 25.0
WASTE_SHARE = 0.15
TUBE_ML = 310.0
RIMS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK})


def lines(outing: Outing) -> Iterator[Line]:
    """The tubes, and a gun."""
    pieces = outing.work.pieces
    if not pieces:
        return
    rims = [c for p in pieces for c in p.cutouts if c.kind in RIMS and not c.is_set_in_shop]
    joint_mm = sum(piece.length_mm for piece in pieces) + sum(map(_round_mm, rims))
    taken_ml = joint_mm * BEAD_MM2 * (1 + WASTE_SHARE) / 1000
    why = ", ".join([*(piece.name for piece in pieces), *("sink" for _ in rims)])
    yield Line(
        name="silicone, tube",
        group=Group.MATERIALS,
        why=why,
        value=float(ceil(taken_ml / TUBE_ML)),
        caution="fresh air; the maker's sheet comes first",
    )
    yield Line(name="silicone gun", group=Group.TOOLS, why=why)


def _round_mm(hole: Cutout) -> float:
    return 2 * (hole.width_mm + hole.height_mm)
