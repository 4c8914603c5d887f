"""A piece that is being made again is not there yet."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.READY, Stage.PLANNED, Stage.INSTALLED, Stage.SIGNED_OFF})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each piece whose remake is not done."""
    for name in sorted(job.record.remakes):
        yield Finding(
            code="remake_open",
            severity=Severity.STOP,
            message=f"piece {name} is being made again",
            about=name,
            source=SOURCE,
        )
