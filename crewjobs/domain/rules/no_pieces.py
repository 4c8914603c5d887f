"""A job without pieces has nothing to make or to install."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.IN_FABRICATION, Stage.READY, Stage.PLANNED, Stage.INSTALLED})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while no piece is known."""
    if not job.work.pieces:
        yield Finding(
            code="no_pieces",
            severity=Severity.STOP,
            message="the job has 0 pieces, the least is 1",
            source=SOURCE,
        )
