"""Take out the old tops.

Water, gas and electricity are disconnected beforehand by those licensed to do it.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours.steps import Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice; disconnecting is left to licensed trades"
VISITS = frozenset({VisitKind.INSTALL})
STANDARD = {
    "visit_min": Prior(value_min=10.0, note="a visit with old tops: loosen, carry waste away"),
    "old_m_min": Prior(value_min=8.0, note="a metre of old top: cut free, lift off, carry out"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step, if there are old tops."""
    if visit.work.tear_out_mm > 0:
        yield Step(
            name="take out the old tops",
            hands=2,
            normal_min=minutes["visit_min"] + minutes["old_m_min"] * visit.work.tear_out_mm / 1000,
            after=(Goal(Milestone.WALK_THROUGH),),
            reaches=Goal(Milestone.CLEARED),
        )
