"""Bond the seams and finish them.

Knife grade is filled in and pulled together at once; flow grade is poured, and filled up with knife
grade once it has gelled. Adhesives and solvents: fresh air, no flame, gloves, the maker's sheet.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import Seam, SeamMethod
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: every piece fitted before the first seam"
VISITS = ON_SITE
STANDARD = {
    "bond_min": Prior(value_min=9.0, note="a seam: tape, mix, fill, clamp, level, float"),
    "bond_m_min": Prior(value_min=7.0, note="a metre of seam on top of that"),
    "pour_min": Prior(value_min=4.0, note="a flow-grade seam: tape beneath and in front, pour"),
    "scrape_min": Prior(value_min=7.0, note="a seam: scrape, clean, touch up"),
    "scrape_m_min": Prior(value_min=6.0, note="a metre of seam on top of that"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """Two steps for each seam with its hardening between them; three for a flow-grade one."""
    for seam in visit.work.seams:
        yield from _bond(seam, minutes)
        yield Step(
            name=f"scrape seam {seam.name}",
            hands=1,
            normal_min=minutes["scrape_min"] + minutes["scrape_m_min"] * seam.length_mm / 1000,
            after=(Goal(Milestone.HARD, seam.name),),
        )


def _bond(seam: Seam, minutes: Minutes) -> Iterator[Step]:
    start = tuple(map(Goal, (Milestone.WALK_THROUGH, Milestone.SET, Milestone.FITTED)))
    if seam.method is SeamMethod.FLOW_GRADE:
        yield Step(
            name=f"pour seam {seam.name}",
            hands=2,
            normal_min=minutes["pour_min"],
            after=start,
            reaches=Goal(Milestone.POURED, seam.name),
        )
    yield Step(
        name=f"bond seam {seam.name}",
        hands=2,
        normal_min=minutes["bond_min"] + minutes["bond_m_min"] * seam.length_mm / 1000,
        after=(*start, Goal(Milestone.GELLED, seam.name)),
        reaches=Goal(Milestone.BONDED, seam.name),
    )
