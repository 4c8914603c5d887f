"""The stone beside a cutout bears the lift, or gets a stiffener."""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain import rails
from crewjobs.domain.facts import Cutout, Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.limits import Limits

SOURCE = (
    "beam check against own finite elements; strength, shock, least factor and least rail are "
    "limits of the shop: common practice and makers' sheets, uncertain"
)
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each large cutout whose rails are weak when the piece is laid flat."""
    for piece in job.work.pieces:
        for cutout in piece.cutouts:
            if cutout.kind in rails.LARGE and (found := _finding(piece, cutout, job.limits)):
                yield found


def _finding(piece: Piece, cutout: Cutout, limits: Limits) -> Finding | None:
    try:
        found = rails.beside(piece, cutout, limits=limits)
        grip = rails.grip_mm(piece, limits=limits) if found.needs_stiffener else None
    except ValueError:
        return _warning(piece, cutout, "it, or another beside it, leaves no rail")
    if not found.needs_stiffener:
        return None
    warning = _warning(piece, cutout, _said(found, grip))
    if found.is_narrow:
        narrow = min(found.front_mm, found.back_mm)
        return replace(warning, value=narrow, limit=limits.rail_least_mm, unit="mm")
    weakest = min(found.flat_factor, found.edge_factor)
    return replace(warning, value=weakest, limit=limits.rail_safety_factor, unit="factor")


def _said(found: rails.RailCheck, grip_mm: float | None) -> str:
    held = (
        "no place to grip is clear of it"
        if grip_mm is None
        else f"grip {grip_mm:.0f} mm from each end"
    )
    return (
        f"held by its ends and laid flat its safety factor is {found.flat_factor:.1f}, on edge "
        f"{found.edge_factor:.1f}, the least is {found.limits.rail_safety_factor:g}; its rails are "
        f"{found.front_mm:.0f} mm and {found.back_mm:.0f} mm wide, the least is "
        f"{found.limits.rail_least_mm:g} mm: carry on edge, stiffener across the cutout, {held}"
    )


def _warning(piece: Piece, cutout: Cutout, said: str) -> Finding:
    return Finding(
        code="weak_rail",
        severity=Severity.WARN,
        message=f"piece {piece.name}, {cutout.kind}: {said}; {rails.CAUTION}",
        about=piece.name,
        source=SOURCE,
    )
