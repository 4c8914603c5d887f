"""A piece can be cut as it is drawn."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.outlines import refusals

SOURCE = "plane geometry; the limits of size are common practice"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each fault of an outline, with its point."""
    for piece in job.work.pieces:
        for fault in refusals(piece):
            yield Finding(
                code="drawn_outline",
                severity=Severity.STOP,
                message=f"piece {piece.name}: {fault}",
                about=piece.name,
                source=SOURCE,
            )
