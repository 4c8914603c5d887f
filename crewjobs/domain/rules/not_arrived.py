"""A job is on site once a crew has reported from there."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, ReportKind, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.ON_SITE})
ELSEWHERE = frozenset({ReportKind.ON_THE_WAY, ReportKind.PHOTO, ReportKind.PROBLEM})
"""What a crew may report before it is there."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while no crew has reported from the site."""
    if all(report.kind in ELSEWHERE for report in job.record.reports):
        yield Finding(
            code="not_arrived",
            severity=Severity.STOP,
            message="no crew has reported from the site",
            source=SOURCE,
        )
