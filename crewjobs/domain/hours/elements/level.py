"""Check the cabinets and shim them level."""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: drawers out, cabinets level before the first piece is set"
VISITS = frozenset({VisitKind.INSTALL})
STANDARD = {
    "run_m_min": Prior(value_min=3.5, note="a metre of cabinets: check, shim, fix"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step, if a run of cabinets is given."""
    if visit.work.cabinet_run_mm > 0:
        yield Step(
            name="level the cabinets",
            hands=1,
            normal_min=minutes["run_m_min"] * visit.work.cabinet_run_mm / 1000,
            after=(
                Goal(Milestone.WALK_THROUGH),
                Goal(Milestone.CLEARED),
                Goal(Milestone.DRAWERS_OUT),
            ),
            reaches=Goal(Milestone.LEVELED),
        )
