"""A sink or cooktop is carried by its cabinet and fits into it."""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.facts import Cutout, Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.rails import LARGE

SOURCE = "common practice; the sink's and the appliance's own sheets come first"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for what hangs from the stone or does not fit; a note if not known."""
    large = [(p, hole) for p in job.work.pieces for hole in p.cutouts if hole.kind in LARGE]
    for piece, hole in large:
        for said, width, cabinet in _faults(hole):
            warning = _finding(Severity.WARN, f"piece {piece.name}, {hole.kind}: {said}", piece)
            yield replace(warning, value=width, limit=cabinet, unit="mm" if width else "")
    unknown = sorted(
        {f"{p.name} {h.kind}" for p, h in large if None in (h.is_supported, h.cabinet_mm)}
    )
    if unknown:
        yield _finding(
            Severity.NOTE, f"support or cabinet's inside width not measured: {', '.join(unknown)}"
        )


def _faults(hole: Cutout) -> Iterator[tuple[str, float | None, float | None]]:
    if hole.is_supported is False:
        said = "nothing but the stone and its adhesive carries it; support it from the cabinet"
        yield said, None, None
    if hole.cabinet_mm is not None and hole.width_mm > hole.cabinet_mm:
        said = f"{hole.width_mm:.0f} mm wide, the cabinet has {hole.cabinet_mm:.0f} mm inside"
        yield said, hole.width_mm, hole.cabinet_mm


def _finding(severity: Severity, message: str, piece: Piece | None = None) -> Finding:
    return Finding(
        code="sink_support",
        severity=severity,
        message=message,
        about=piece.name if piece else "",
        source=SOURCE,
    )
