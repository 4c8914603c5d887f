"""A cancelled job goes no further."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset(Stage)


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop when the job is cancelled."""
    if job.record.is_cancelled:
        yield Finding(
            code="cancelled",
            severity=Severity.STOP,
            message="the job is cancelled",
            source=SOURCE,
        )
