"""A job on hold goes no further."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.IN_FABRICATION, Stage.READY, Stage.PLANNED, Stage.SIGNED_OFF})
"""Not what is reported from the site: a hold does not undo that a crew was there."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each reason that nobody has released."""
    for reason in job.record.holds:
        yield Finding(
            code="on_hold",
            severity=Severity.STOP,
            message=f"the job is on hold: {reason}",
            source=SOURCE,
        )
