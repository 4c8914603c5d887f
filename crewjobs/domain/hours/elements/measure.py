"""Measure the cabinets, the openings and the way in."""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured"
VISITS = frozenset({VisitKind.TEMPLATE})
STANDARD = {
    "visit_min": Prior(value_min=15.0, note="a visit: greet, set up, check the cabinets"),
    "run_m_min": Prior(value_min=6.0, note="a metre of run: measure, or lay the template"),
    "opening_min": Prior(value_min=5.0, note="an opening: model, position, rail widths"),
    "way_min": Prior(value_min=2.0, note="a part of the way in: measure and note"),
    "review_min": Prior(value_min=15.0, note="a visit: seams, overhangs, edges, signature"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """Set up, measure run by run, note openings and the way in, and agree on it all."""
    yield Step(
        name="set up",
        hands=1,
        normal_min=minutes["visit_min"],
        reaches=Goal(Milestone.WALK_THROUGH),
    )
    openings = sum(len(piece.cutouts) for piece in visit.work.pieces)
    for name, normal_min in (
        ("measure the runs", minutes["run_m_min"] * _run_m(visit)),
        ("note the openings", minutes["opening_min"] * openings),
        ("measure the way in", minutes["way_min"] * len(visit.work.route)),
    ):
        if normal_min:
            after = (Goal(Milestone.WALK_THROUGH),)
            yield Step(name=name, hands=1, normal_min=normal_min, after=after)
    yield Step(
        name="agree on seams, overhangs and edges",
        hands=1,
        normal_min=minutes["review_min"],
        after=(Goal(Milestone.ALL_WORK),),
    )


def _run_m(visit: Visit) -> float:
    """Cabinets, or the stone itself where it is longer or nobody gave the cabinets."""
    stone_mm = sum(piece.length_mm for piece in visit.work.pieces)
    return max(visit.work.cabinet_run_mm, stone_mm) / 1000
