"""An installed job was reviewed, or left, after its last piece was set."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, ReportKind, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work: the review with the customer ends the work"
GUARDS = frozenset({Stage.INSTALLED})
ENDS = frozenset({ReportKind.REVIEWED, ReportKind.LEFT})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while no report ends the work, counted from when each piece was first set."""
    first_set = {
        report.about: report.happened_at
        for report in sorted(job.record.reports, key=lambda r: r.happened_at, reverse=True)
        if report.kind is ReportKind.PIECE_SET
    }
    ended = [report.happened_at for report in job.record.reports if report.kind in ENDS]
    if not ended or max(ended) < max(first_set.values(), default=max(ended)):
        yield Finding(
            code="work_unfinished",
            severity=Severity.STOP,
            message="nobody has reviewed the work or left since the last piece was set",
            source=SOURCE,
        )
