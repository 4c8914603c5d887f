"""The inside corners of a large cutout are round."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.rails import LARGE

SOURCE = "one fabricator's published least radius, 3/8 in; no standard's own figure was seen"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each large cutout whose corners are sharper."""
    least = job.limits.corner_radius_mm
    for piece in job.work.pieces:
        for hole in piece.cutouts:
            if hole.kind in LARGE and hole.corner_radius_mm < least - 1e-6:
                yield Finding(
                    code="inside_corner",
                    severity=Severity.WARN,
                    message=(
                        f"piece {piece.name}, {hole.kind}: corner radius "
                        f"{hole.corner_radius_mm:.1f} mm, the least is {least:.1f} mm: sharp "
                        "corners start cracks"
                    ),
                    about=piece.name,
                    source=SOURCE,
                    value=hole.corner_radius_mm,
                    limit=least,
                    unit="mm",
                )
