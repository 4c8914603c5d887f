"""Respirators for whoever is near dust."""

from collections.abc import Iterator

from crewjobs.domain import dust
from crewjobs.domain.dust import Respirator
from crewjobs.domain.facts import DustRules
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "; ".join(f"{name}: {source}" for name, source in dust.SOURCES.items())
VISITS = ON_SITE
WEAKEST_FIRST = list(Respirator)


def lines(outing: Outing) -> Iterator[Line]:
    """One a person by each rule set that counts, as if all were cut indoors in this shift."""
    sets = [outing.job.dust_rules] if outing.job.dust_rules else list(DustRules)
    shift = outing.dusty
    for rules in sets if shift else ():
        asked = [each.respirator for each in dust.protections(shift, rules) if each.respirator]
        worn = max(asked, key=WEAKEST_FIRST.index, default=Respirator.NONE)
        if worn is not Respirator.NONE:
            yield Line(
                name=f"respirator, {worn}",
                group=Group.PEOPLE,
                why=f"{', '.join(sorted({each.task for each in shift}))}; rules of the {rules}",
                value=float(outing.job.team.hands),
                source=f"{rules}: {dust.SOURCES[rules]}; one for everybody there: common practice",
                caution="fitted to its wearer; it comes after water, vacuum and working outside",
            )
