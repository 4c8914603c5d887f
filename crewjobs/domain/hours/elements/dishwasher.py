"""Fasten the dishwasher to the stone.

Only fastened: water and electricity are connected by those licensed to do it.
"""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "not measured; connecting is left to licensed trades"
VISITS = ON_SITE
STANDARD = {
    "dishwasher_min": Prior(value_min=6.0, note="a dishwasher: bracket, bond, check its door"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step, once the tops lie, if one stands in the run."""
    if visit.work.has_dishwasher:
        yield Step(
            name="fasten the dishwasher",
            hands=1,
            normal_min=minutes["dishwasher_min"],
            after=tuple(map(Goal, (Milestone.WALK_THROUGH, Milestone.SET, Milestone.FITTED))),
        )
