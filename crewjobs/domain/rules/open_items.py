"""Nothing is left open at sign-off, unless the customer accepts it in writing."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.SIGNED_OFF})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop for each open item, a note for each that the customer accepted."""
    for item in job.record.open_items:
        is_accepted = item in job.record.accepted_items
        yield Finding(
            code="open_items",
            severity=Severity.NOTE if is_accepted else Severity.STOP,
            message=f"still open{', and accepted so' if is_accepted else ''}: {item}",
            source=SOURCE,
        )
