"""A seam that nobody reported may be open."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, ReportKind, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "the shop's own order of work"
GUARDS = frozenset({Stage.INSTALLED, Stage.SIGNED_OFF})
BONDED = frozenset({ReportKind.SEAM_POURED, ReportKind.SEAM_HARD})


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each seam without a report, where the crew reported anything at all."""
    told = {report.about for report in job.record.reports if report.kind in BONDED}
    for seam in job.work.seams:
        if job.record.reports and seam.name not in told:
            yield Finding(
                code="seams_not_bonded",
                severity=Severity.WARN,
                message=f"seam {seam.name} is not reported poured",
                about=seam.name,
                source=SOURCE,
            )
