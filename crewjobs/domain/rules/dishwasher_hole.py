"""A hole for a dishwasher's fastening stays well inside the stone."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "common practice: under half an inch, never through; side brackets need no hole"
GUARDS: frozenset[Stage] = frozenset()
MOST_MM = 12.7
LEFT_MM = 6.0
"""Common practice, not measured: the stone that stays above the hole."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for a hole too deep for its stone, a warning for one over half an inch."""
    for piece in job.work.pieces:
        depth = piece.dishwasher_hole_mm
        if depth is None:
            continue
        left = piece.thickness_mm - depth
        if left < LEFT_MM or depth >= MOST_MM:
            yield Finding(
                code="dishwasher_hole",
                severity=Severity.STOP if left < LEFT_MM else Severity.WARN,
                message=(
                    f"piece {piece.name}: a hole of {depth:.1f} mm leaves {left:.1f} of "
                    f"{piece.thickness_mm:g}; the deepest is below {MOST_MM:g}, the least left is "
                    f"{LEFT_MM:g}"
                ),
                about=piece.name,
                source=SOURCE,
            )
