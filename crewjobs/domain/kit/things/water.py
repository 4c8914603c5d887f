"""Water for cutting and drilling, and a protected lead for tools that use it."""

from collections.abc import Iterator

from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = (
    "half a litre a minute for a hand-held saw: UK HSE, from memory; enough that no dust is seen "
    "comes first. All minutes of the cutting tasks count"
)
LEAD_SOURCE = "ground-fault protection on building sites: 29 CFR 1926.404(b)(1), from memory"
VISITS = ON_SITE
A_MINUTE_ML = 500.0


def lines(outing: Outing) -> Iterator[Line]:
    """Water by the minutes of wet work, and one lead."""
    if cuts := outing.cuts:
        why = ", ".join(each.name for each in cuts)
        yield Line(
            name="water, in a tank or from a tap",
            group=Group.MATERIALS,
            why=why,
            value=A_MINUTE_ML * sum(each.minutes_min for each in cuts),
            unit=Unit.VOLUME,
        )
        yield Line(
            name="lead with ground-fault protection",
            group=Group.TOOLS,
            why=why,
            source=LEAD_SOURCE,
            caution="water away from outlets; the house's wiring is a licensed trade's",
        )
