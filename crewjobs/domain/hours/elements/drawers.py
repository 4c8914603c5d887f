"""Take drawers and doors out, and put them back."""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: drawers out before the cabinets are leveled"
VISITS = frozenset({VisitKind.INSTALL})
STANDARD = {
    "out_m_min": Prior(value_min=0.5, note="a metre of cabinets: drawers out and aside"),
    "back_m_min": Prior(value_min=0.5, note="a metre of cabinets: drawers back, try them"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """Two steps, if a run of cabinets is given: out at the start, back when the stone lies."""
    run_m = visit.work.cabinet_run_mm / 1000
    if run_m > 0:
        yield Step(
            name="drawers out",
            hands=1,
            normal_min=minutes["out_m_min"] * run_m,
            after=(Goal(Milestone.WALK_THROUGH),),
            reaches=Goal(Milestone.DRAWERS_OUT),
        )
        yield Step(
            name="drawers back",
            hands=1,
            normal_min=minutes["back_m_min"] * run_m,
            after=(
                Goal(Milestone.DRAWERS_OUT),
                Goal(Milestone.LEVELED),
                Goal(Milestone.SET),
                Goal(Milestone.FITTED),
            ),
        )
