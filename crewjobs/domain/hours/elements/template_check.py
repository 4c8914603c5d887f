"""Check the template, or the sizes, against the cabinets."""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: checked on level cabinets, before the first piece is set"
VISITS = frozenset({VisitKind.INSTALL})
STANDARD = {
    "piece_min": Prior(value_min=1.5, note="a piece: lengths, overhang, walls, openings"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step, if there are pieces to be set."""
    if visit.slabs:
        yield Step(
            name="check the template",
            hands=1,
            normal_min=minutes["piece_min"] * len(visit.slabs),
            after=tuple(map(Goal, (Milestone.WALK_THROUGH, Milestone.CLEARED, Milestone.LEVELED))),
            reaches=Goal(Milestone.CHECKED),
        )
