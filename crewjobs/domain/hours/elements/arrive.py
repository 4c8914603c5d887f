"""Walk through the site and protect the floor.

Comes before anything is unloaded: a site that is not ready sends the truck home loaded.
"""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: walk-through before unloading"
VISITS = ON_SITE
STANDARD = {
    "visit_min": Prior(value_min=14.0, note="a visit: walk through, lay out tools"),
    "walk_m_min": Prior(value_min=0.2, note="a metre of the way in: cover the floor"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step that everything else on the site waits for."""
    yield Step(
        name="walk through, protect the floor",
        hands=2,
        normal_min=minutes["visit_min"] + minutes["walk_m_min"] * visit.walk_m,
        reaches=Goal(Milestone.WALK_THROUGH),
    )
