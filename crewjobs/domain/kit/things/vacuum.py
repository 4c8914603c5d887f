"""A vacuum whose filter holds back stone dust."""

from collections.abc import Iterator

from crewjobs.domain import dust
from crewjobs.domain.facts import DustRules
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "; ".join(f"{name}: {source}" for name, source in dust.SOURCES.items())
VISITS = ON_SITE
FILTERS = {
    DustRules.US: "HEPA filter, 99.97 % of 0.3 micrometres",
    DustRules.UK: "class M",
}


def lines(outing: Outing) -> Iterator[Line]:
    """One for each rule set that counts, where stone is cut or old tops come out."""
    asked = [each.name for each in outing.cuts]
    if outing.work.tear_out_mm:
        asked.append("old tops")
    sets = [outing.job.dust_rules] if outing.job.dust_rules else list(DustRules)
    for rules in sets if asked else ():
        yield Line(
            name=f"vacuum, {FILTERS[rules]}",
            group=Group.TOOLS,
            why=f"{', '.join(asked)}; rules of the {rules}",
            source=f"{rules}: {dust.SOURCES[rules]}",
            caution="clean wet or with it: never sweep dry or blow",
        )
