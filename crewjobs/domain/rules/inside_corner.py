"""The inside corners of a large cutout are round."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.rails import LARGE

SOURCE = "one fabricator's published least radius, 3/8 in; no standard's own figure was seen"
GUARDS: frozenset[Stage] = frozenset()
LEAST_MM = 9.525
"""3/8 in; makers' sheets ask for 1/4 to 3/8, from memory."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each large cutout whose corners are sharper."""
    for piece in job.work.pieces:
        for hole in piece.cutouts:
            if hole.kind in LARGE and hole.corner_radius_mm < LEAST_MM - 1e-6:
                yield Finding(
                    code="inside_corner",
                    severity=Severity.WARN,
                    message=(
                        f"piece {piece.name}, {hole.kind}: corner radius "
                        f"{hole.corner_radius_mm:.1f} mm, the least is {LEAST_MM:.1f}: sharp "
                        "corners start cracks"
                    ),
                    about=piece.name,
                    source=SOURCE,
                )
