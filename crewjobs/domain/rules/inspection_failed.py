"""A piece that failed its inspection is not installed."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "trade practice: a fault costs least while the piece is still in the shop"
GUARDS = frozenset({Stage.READY, Stage.PLANNED})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each piece whose newest inspection failed."""
    for name in sorted(job.record.rejected):
        yield Finding(
            code="inspection_failed",
            severity=Severity.STOP,
            message=f"piece {name} failed its inspection: repair and inspect it, or order a remake",
            about=name,
            source=SOURCE,
        )
