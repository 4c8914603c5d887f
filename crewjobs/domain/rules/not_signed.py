"""A signed-off job bears the customer's signature."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.SIGNED_OFF})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while the customer has not signed."""
    if not job.record.is_signed:
        yield Finding(
            code="not_signed",
            severity=Severity.STOP,
            message="the customer has not signed",
            source=SOURCE,
        )
