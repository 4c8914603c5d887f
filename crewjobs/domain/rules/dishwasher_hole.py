"""A hole for a dishwasher's fastening stays well inside the stone."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "common practice: under half an inch, never through; side brackets need no hole"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for a hole too deep for its stone, a warning for one over half an inch."""
    most, least = job.limits.hole_most_mm, job.limits.hole_left_mm
    for piece in job.work.pieces:
        depth = piece.dishwasher_hole_mm
        if depth is None:
            continue
        left = piece.thickness_mm - depth
        is_thin = left < least
        if is_thin or depth >= most:
            yield Finding(
                code="dishwasher_hole",
                severity=Severity.STOP if is_thin else Severity.WARN,
                message=(
                    f"piece {piece.name}: a hole of {depth:.1f} mm leaves {left:.1f} mm of "
                    f"{piece.thickness_mm:g} mm; the deepest is below {most:g} mm, the least left "
                    f"is {least:g} mm"
                ),
                about=piece.name,
                source=SOURCE,
                value=left if is_thin else depth,
                limit=least if is_thin else most,
                unit="mm",
            )
