"""The stone beside a cutout bears the lift, or gets a stiffener."""

from collections.abc import Iterator

from crewjobs.domain import rails
from crewjobs.domain.facts import Cutout, Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "beam check with 30 MPa, the low end of makers' EN 14617-2 figures; least factor 3 common "
    "practice; least rail 60 mm uncertain (trade figures run from 2 1/2 to 4 in)"
)
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each large cutout whose rails are weak when the piece is laid flat."""
    for piece in job.work.pieces:
        for cutout in piece.cutouts:
            if cutout.kind in rails.LARGE and (said := _said(piece, cutout)):
                yield Finding(
                    code="weak_rail",
                    severity=Severity.WARN,
                    message=f"piece {piece.name}, {cutout.kind}: {said}; {rails.CAUTION}",
                    about=piece.name,
                    source=SOURCE,
                )


def _said(piece: Piece, cutout: Cutout) -> str:
    try:
        found = rails.beside(piece, cutout)
        grip = rails.grip_mm(piece) if found.needs_stiffener else None
    except ValueError:
        return "it, or another beside it, leaves no rail"
    if not found.needs_stiffener:
        return ""
    held = (
        "no place to grip is clear of it" if grip is None else f"grip {grip:.0f} mm from each end"
    )
    return (
        f"held by its ends and laid flat its safety factor is {found.flat_factor:.1f}, on edge "
        f"{found.edge_factor:.1f}, the least is {rails.LEAST_FACTOR:g}; its rails are "
        f"{found.front_mm:.0f} and {found.back_mm:.0f} mm wide, the least is "
        f"{rails.LEAST_RAIL_MM:g}: carry on edge, stiffener across the cutout, {held}"
    )
