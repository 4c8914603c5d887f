"""Waiting for adhesive.

Hands are free meanwhile. The maker's data sheet goes before any figure here.
"""

from collections.abc import Iterator

from crewjobs.domain.facts import CutoutKind, SeamMethod, Work
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "hardening in 10 to 15 minutes at room temperature: common practice; ten-degree rule"
VISITS = ON_SITE
IS_WAIT = True
STANDARD = {
    "seam_min": Prior(value_min=12.0, note="a seam at 20 °C until it can be scraped"),
    "gel_min": Prior(value_min=6.0, note="a poured seam at 20 °C until it has gelled"),
    "sink_min": Prior(value_min=20.0, note="an undermount sink at 20 °C until it is let go"),
    "least_min": Prior(value_min=5.0, note="no wait is taken to be shorter, however hot"),
    "most_min": Prior(value_min=60.0, note="no wait is taken to be longer, however cold"),
}

USUAL_DEG_C = 20.0
"""Where the standard minutes hold."""

DOUBLING_DEG_C = 10.0
"""Ten degrees more halve the time, ten degrees less double it: the rule of thumb of the makers."""


def at_temperature_min(usual_min: float, temperature_deg_c: float) -> float:
    """How long adhesive takes that takes `usual_min` at 20 °C.

    References
    ----------
    The ten-degree rule, ``t = t20 * 2 ** ((20 - T) / 10)``.

    Examples
    --------
    >>> [at_temperature_min(6, t) for t in (10, 20, 30)]
    [12.0, 6.0, 3.0]
    """
    return float(usual_min * 2 ** ((USUAL_DEG_C - temperature_deg_c) / DOUBLING_DEG_C))


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """A wait for each seam, for each pour, and for each piece with a sink bonded beneath it."""
    for name, usual, start, end in _waits(visit.work):
        at_site_min = at_temperature_min(minutes[usual], visit.work.temperature_deg_c)
        yield Step(
            name=name,
            hands=0,
            normal_min=min(minutes["most_min"], max(minutes["least_min"], at_site_min)),
            after=(start,),
            reaches=end,
        )


def _waits(work: Work) -> Iterator[tuple[str, str, Goal, Goal | None]]:
    for name in (seam.name for seam in work.seams if seam.method is SeamMethod.FLOW_GRADE):
        ends = Goal(Milestone.POURED, name), Goal(Milestone.GELLED, name)
        yield f"seam {name} gels", "gel_min", *ends
    for name in (seam.name for seam in work.seams):
        ends = Goal(Milestone.BONDED, name), Goal(Milestone.HARD, name)
        yield f"seam {name} hardens", "seam_min", *ends
    for piece in work.pieces:
        hung = (c for c in piece.cutouts if c.kind is CutoutKind.UNDERMOUNT_SINK)
        if not all(cutout.is_set_in_shop for cutout in hung):
            yield (
                f"sink in {piece.name} hardens",
                "sink_min",
                Goal(Milestone.SINK_HUNG, piece.name),
                None,
            )
