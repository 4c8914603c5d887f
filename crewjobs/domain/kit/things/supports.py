"""Brackets, rails and panels that the crew fits, and their screws."""

from collections.abc import Iterator

from crewjobs.domain.facts import SupportKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = "each support that is not in place yet"
SCREWS_SOURCE = f"six screws a support: {GUESS}; the maker of the support comes first"
VISITS = ON_SITE
SCREWS = 6


def lines(outing: Outing) -> Iterator[Line]:
    """The missing supports by kind, screws for all of them, and what fits them."""
    missing = [each for each in outing.work.supports if not each.is_in_place]
    for kind in SupportKind:
        found = sorted(each.piece for each in missing if each.kind is kind)
        if found:
            yield Line(
                name=kind,
                group=Group.MATERIALS,
                why=f"beneath {', '.join(found)}",
                value=float(len(found)),
            )
    if missing:
        why = ", ".join(sorted({each.piece for each in missing}))
        yield Line(
            name="screw for supports",
            group=Group.MATERIALS,
            why=f"beneath {why}",
            value=float(SCREWS * len(missing)),
            source=SCREWS_SOURCE,
        )
        yield Line(name="drill driver with bits", group=Group.TOOLS, why=f"supports beneath {why}")
