"""Cut pieces to fit on site.

Cutting stone makes dust that can kill: cut outdoors and wet or with a shrouded tool on a dust
collector, wear what the rules ask for, and follow the local rules and the maker's data sheet.
"""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured; dust controls by the local rules"
VISITS = ON_SITE
STANDARD = {
    "cut_min": Prior(value_min=18.0, note="a piece: scribe, set up dust control, cut, ease"),
    "refit_min": Prior(value_min=5.0, note="a piece: lift back and fit again"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """For each piece that wants it: the cut, outdoors, and fitting the piece again."""
    for piece in visit.work.pieces:
        if piece.needs_field_cut:
            name = piece.name
            yield Step(
                name=f"cut {name} to fit",
                hands=1,
                normal_min=minutes["cut_min"],
                after=(Goal(Milestone.WALK_THROUGH), Goal(Milestone.SET, name)),
                reaches=Goal(Milestone.CUT, name),
            )
            yield Step(
                name=f"fit {name} again",
                hands=max(2, visit.carriers(piece)),
                normal_min=minutes["refit_min"],
                after=(Goal(Milestone.CUT, name),),
                reaches=Goal(Milestone.FITTED, name),
            )
