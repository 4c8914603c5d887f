"""Set the cooktops in.

Only laid into the opening: gas and electricity are connected by those licensed to do it.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import CutoutKind
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured; connecting is left to licensed trades"
VISITS = ON_SITE
STANDARD = {
    "cooktop_min": Prior(value_min=7.0, note="a cooktop: try the opening, lay in, centre"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each cooktop, once its piece lies and its hole is there."""
    about = (Milestone.SET, Milestone.FITTED, Milestone.OPENED)
    for piece in visit.work.pieces:
        for _ in (cut for cut in piece.cutouts if cut.kind is CutoutKind.COOKTOP):
            yield Step(
                name=f"cooktop in {piece.name}",
                hands=1,
                normal_min=minutes["cooktop_min"],
                after=(
                    Goal(Milestone.WALK_THROUGH),
                    *(Goal(milestone, piece.name) for milestone in about),
                ),
            )
