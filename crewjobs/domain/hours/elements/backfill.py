"""Tape poured seams again and fill them up with knife grade.

Adhesives and solvents: fresh air, no flame, gloves, the maker's sheet.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.hours.steps import ON_SITE, Extra, Goal, Milestone, Minutes, Prior, Visit

SOURCE = "trade practice: flow grade gels, then it is taped again and filled with knife grade"
VISITS = ON_SITE
STANDARD = {
    "seam_min": Prior(value_min=2.0, note="a flow-grade seam: new tape, a second batch"),
    "seam_m_min": Prior(value_min=1.5, note="a metre of it: fill up to the surface"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Extra]:
    """What a flow-grade seam takes on top of bonding one with knife grade alone."""
    for seam in visit.work.seams:
        if seam.method is SeamMethod.FLOW_GRADE:
            yield Extra(
                goal=Goal(Milestone.BONDED, seam.name),
                normal_min=minutes["seam_min"] + minutes["seam_m_min"] * seam.length_mm / 1000,
            )
