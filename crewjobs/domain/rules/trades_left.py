"""Water, gas and electricity are connected by licensed trades."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "local codes and the makers' sheets decide who may connect what, and when"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a note for each trade whose work is still to be done."""
    for trade in sorted(set(job.record.trades_left)):
        yield Finding(
            code="trades_left",
            severity=Severity.NOTE,
            message=f"left to a licensed trade: {trade}; the crew connects and switches on nothing",
            source=SOURCE,
        )
