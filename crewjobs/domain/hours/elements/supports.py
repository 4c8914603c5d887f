"""Fit brackets, rails and panels, and check them again under each piece."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import (
    ON_SITE,
    Extra,
    Goal,
    Milestone,
    Minutes,
    Prior,
    Step,
    Visit,
)

SOURCE = "trade practice: supports are checked again before the piece goes on them"
VISITS = ON_SITE
STANDARD = {
    "fit_min": Prior(value_min=9.0, note="a support: mark, drill, fix, level"),
    "recheck_min": Prior(value_min=0.5, note="a support: check once more as the piece is set"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step | Extra]:
    """For each piece that needs them: the missing supports, and a check of all of them."""
    for piece in visit.slabs:
        supports = visit.supports(piece)
        missing = sum(not support.is_in_place for support in supports)
        if supports:
            goal = Goal(Milestone.SET, piece.name)
            yield Extra(goal=goal, normal_min=minutes["recheck_min"] * len(supports))
        if missing:
            yield Step(
                name=f"fit supports for {piece.name}",
                hands=1,
                normal_min=minutes["fit_min"] * missing,
                after=(Goal(Milestone.WALK_THROUGH), Goal(Milestone.CLEARED)),
                reaches=Goal(Milestone.SUPPORTED, piece.name),
            )
