"""Fix the backsplashes."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: on tops that lie and seams that are hard"
VISITS = ON_SITE
STANDARD = {
    "piece_min": Prior(value_min=5.0, note="a backsplash: bring in, try, bond, brace"),
    "length_m_min": Prior(value_min=4.5, note="a metre of its length"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each backsplash."""
    tops = (Milestone.WALK_THROUGH, Milestone.SET, Milestone.FITTED, Milestone.HARD)
    for piece in visit.backsplashes:
        yield Step(
            name=f"backsplash {piece.name}",
            hands=visit.carriers(piece),
            normal_min=minutes["piece_min"] + minutes["length_m_min"] * piece.length_mm / 1000,
            after=tuple(map(Goal, tops)),
            reaches=Goal(Milestone.STRIP_FIXED, piece.name),
        )
