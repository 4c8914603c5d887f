"""The crew knows of a balance that is still to be collected."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work; to stop a job for it, hold it: payment due"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning while the balance is above zero."""
    if job.record.balance_cents > 0:
        yield Finding(
            code="balance_due",
            severity=Severity.WARN,
            message=f"a balance of {job.record.balance_cents / 100:.2f} is to be collected",
            source=SOURCE,
        )
