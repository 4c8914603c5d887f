"""Carry the pieces in.

How many carry a piece is the shop's planning rule by mass and no health limit; aids, not people,
carry the heavy pieces.
"""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "walking times: 0.6 m/s loaded and 1.1 m/s back, not measured"
VISITS = ON_SITE
STANDARD = {
    "piece_min": Prior(value_min=3.0, note="a piece: untie, take hold, set down"),
    "loaded_m_min": Prior(value_min=1 / 36, note="a metre with the piece, 0.6 m/s"),
    "back_m_min": Prior(value_min=1 / 66, note="a metre back with empty hands, 1.1 m/s"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each piece, its carriers by mass."""
    walk_min = visit.walk_m * (minutes["loaded_m_min"] + minutes["back_m_min"])
    for piece in visit.slabs:
        yield Step(
            name=f"carry {piece.name}",
            hands=visit.carriers(piece),
            normal_min=minutes["piece_min"] + walk_min,
            after=(Goal(Milestone.WALK_THROUGH),),
            reaches=Goal(Milestone.CARRIED, piece.name),
        )
