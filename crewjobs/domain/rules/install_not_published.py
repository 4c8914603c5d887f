"""A planned job has an install visit that crew and customer know of."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work: only a published plan reaches calendars and customers"
GUARDS = frozenset({Stage.PLANNED})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while no install visit is published."""
    if not job.record.has_published_install:
        yield Finding(
            code="install_not_published",
            severity=Severity.STOP,
            message="no install visit is published",
            source=SOURCE,
        )
