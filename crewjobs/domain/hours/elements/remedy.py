"""Put right what brought the crew back.

The pieces of a return visit are those that are set anew, its seams those that are bonded anew.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured"
VISITS = frozenset({VisitKind.RETURN})
STANDARD = {
    "fault_min": Prior(value_min=10.0, note="a return visit: look at the fault together"),
    "unknown_min": Prior(value_min=60.0, note="a return visit without pieces or seams to work on"),
    "piece_min": Prior(value_min=12.0, note="a piece: cut loose and take away what it replaces"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """A look at the fault, then taking out what is replaced, or work of an unknown kind."""
    yield Step(
        name="look at the fault",
        hands=1,
        normal_min=minutes["fault_min"],
        after=(Goal(Milestone.WALK_THROUGH),),
        reaches=Goal(Milestone.CLEARED),
    )
    for piece in visit.slabs:
        yield Step(
            name=f"take out what {piece.name} replaces",
            hands=max(2, visit.carriers(piece)),
            normal_min=minutes["piece_min"],
            after=(Goal(Milestone.WALK_THROUGH),),
            reaches=Goal(Milestone.CLEARED),
        )
    if not visit.work.pieces:
        yield Step(
            name="put right what was reported",
            hands=1,
            normal_min=minutes["unknown_min"],
            after=(Goal(Milestone.CLEARED),),
        )
