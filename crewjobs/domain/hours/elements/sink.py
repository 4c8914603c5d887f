"""Mount the sinks.

Taps and drains are connected by those licensed to do it.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import CutoutKind
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured; connecting is left to licensed trades"
VISITS = ON_SITE
STANDARD = {
    "undermount_min": Prior(value_min=20.0, note="an undermount sink: clean, bond, brace"),
    "drop_in_min": Prior(value_min=9.0, note="a drop-in sink: seal, set, clip"),
}

NAMES = {
    CutoutKind.UNDERMOUNT_SINK: "undermount_min",
    CutoutKind.DROP_IN_SINK: "drop_in_min",
}
"""The standard minutes of each kind of sink."""


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each sink not set in the shop, once its piece lies and its hole is there."""
    about = (Milestone.SET, Milestone.FITTED, Milestone.OPENED)
    for piece in visit.work.pieces:
        for cutout in piece.cutouts:
            if cutout.kind in NAMES and not cutout.is_set_in_shop:
                is_hung = cutout.kind is CutoutKind.UNDERMOUNT_SINK
                yield Step(
                    name=f"{cutout.kind} in {piece.name}",
                    hands=1,
                    normal_min=minutes[NAMES[cutout.kind]],
                    after=(
                        Goal(Milestone.WALK_THROUGH),
                        *(Goal(milestone, piece.name) for milestone in about),
                    ),
                    reaches=Goal(Milestone.SINK_HUNG if is_hung else Milestone.SINK_IN, piece.name),
                )
