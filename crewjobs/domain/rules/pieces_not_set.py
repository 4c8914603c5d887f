"""An installed job has every piece in its place."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, ReportKind, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.INSTALLED, Stage.SIGNED_OFF})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each piece that nobody reported set."""
    placed = {r.about for r in job.record.reports if r.kind is ReportKind.PIECE_SET}
    for piece in job.work.pieces:
        if piece.name not in placed:
            yield Finding(
                code="pieces_not_set",
                severity=Severity.STOP,
                message=f"piece {piece.name} is not reported set",
                about=piece.name,
                source=SOURCE,
            )
