"""Runners for floors, covers for cabinets and guards for corners."""

from collections.abc import Iterator

from crewjobs.domain.facts import RouteKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line, Unit
from crewjobs.domain.kit.outings import Outing

SOURCE = (
    "runners 1 m wide on the measured way indoors, 1.5 m deep before the cabinets; covers along "
    f"the cabinets; two guards at each door and corner: {GUESS}"
)
VISITS = ON_SITE
RUNNER_MM, FRONT_MM = 1000.0, 1500.0
OUTSIDE = frozenset({RouteKind.PATH, RouteKind.LIFT})
LONG = frozenset({RouteKind.HALL, RouteKind.STAIRS})
"""Elements that have a length of their own."""
CORNERS = frozenset({RouteKind.DOOR, RouteKind.TURN, RouteKind.LANDING})
GUARDS = 2


def lines(outing: Outing) -> Iterator[Line]:
    """Runners by area, covers by length, guards by count."""
    if not outing.stone_is_set:
        return
    inside = [each for each in outing.work.route if each.kind not in OUTSIDE]
    run_mm = outing.work.cabinet_run_mm
    way_mm = sum(each.length_mm or 0.0 for each in inside)
    unknown = [each for each in inside if each.kind in LONG and each.length_mm is None]
    without = ", ".join(each.name or str(each.kind) for each in unknown)
    yield Line(
        name="floor runner",
        group=Group.HOUSE,
        why="the way in and before the cabinets"
        + (f", without {without}: not measured" if without else ""),
        value=(way_mm * RUNNER_MM + run_mm * FRONT_MM) / 1e6 or None,
        unit=Unit.AREA,
    )
    if run_mm:
        yield Line(
            name="cover for cabinets",
            group=Group.HOUSE,
            why="the run of cabinets",
            value=run_mm,
            unit=Unit.LENGTH,
        )
    if corners := sum(each.kind in CORNERS for each in inside):
        yield Line(
            name="corner guard",
            group=Group.HOUSE,
            why="each door and corner on the way in",
            value=float(GUARDS * corners),
        )
