"""Make holes on site.

Drilling and cutting stone makes dust that can kill: work wet or on a dust collector, keep water
away from electricity, and follow the local rules and the maker's data sheet.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import Cutout, CutoutKind
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured; dust controls by the local rules"
VISITS = ON_SITE
STANDARD = {
    "piece_min": Prior(value_min=5.0, note="a piece with holes to make: mark out, set up"),
    "core_min": Prior(value_min=7.0, note="a tap or accessory hole: drill, ease, clean"),
    "opening_min": Prior(value_min=40.0, note="a sink or cooktop opening: cut, corners, edge"),
}

CORED = (CutoutKind.TAP_HOLE, CutoutKind.ACCESSORY_HOLE)
"""Holes made with a core drill; other cutouts are sawn."""


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each piece with holes that the shop has not made."""
    for piece in visit.work.pieces:
        holes = [cutout for cutout in piece.cutouts if cutout.is_made_on_site]
        if holes:
            yield Step(
                name=f"make holes in {piece.name}",
                hands=1,
                normal_min=minutes["piece_min"] + sum(_hole_min(hole, minutes) for hole in holes),
                after=(
                    Goal(Milestone.WALK_THROUGH),
                    Goal(Milestone.SET, piece.name),
                    Goal(Milestone.FITTED, piece.name),
                ),
                reaches=Goal(Milestone.OPENED, piece.name),
            )


def _hole_min(hole: Cutout, minutes: Minutes) -> float:
    return minutes["core_min" if hole.kind in CORED else "opening_min"]
