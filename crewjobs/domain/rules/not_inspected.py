"""Every piece is inspected before it is loaded."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "trade practice: a fault costs least while the piece is still in the shop"
GUARDS = frozenset({Stage.READY, Stage.PLANNED})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each piece that nobody has inspected since it was made."""
    seen = job.record.inspected | job.record.rejected
    for piece in job.work.pieces:
        if piece.name not in seen:
            yield Finding(
                code="not_inspected",
                severity=Severity.STOP,
                message=f"piece {piece.name} is not inspected",
                about=piece.name,
                source=SOURCE,
            )
