"""Silicone, clean, and go through the work with the customer."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured"
VISITS = ON_SITE
STANDARD = {
    "visit_min": Prior(value_min=18.0, note="a visit: clean, load tools, review, signature"),
    "length_m_min": Prior(value_min=1.5, note="a metre of stone: silicone and wipe"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step, when everything else is done."""
    length_m = sum(piece.length_mm for piece in visit.work.pieces) / 1000
    yield Step(
        name="silicone, clean, review",
        hands=2,
        normal_min=minutes["visit_min"] + minutes["length_m_min"] * length_m,
        after=(Goal(Milestone.ALL_WORK),),
    )
