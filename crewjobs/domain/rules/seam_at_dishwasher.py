"""No seam lies over a dishwasher."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "Dimension Stone Design Manual, ch. 17, drawing 17-D-1, as quoted by others"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each seam over a dishwasher, and a note for those not known."""
    for seam in job.work.seams:
        if seam.is_over_dishwasher:
            yield _finding(
                Severity.WARN, f"seam {seam.name} lies over the dishwasher: move it", seam.name
            )
    if unknown := [seam.name for seam in job.work.seams if seam.is_over_dishwasher is None]:
        yield _finding(
            Severity.NOTE, f"nobody said whether a dishwasher is below: {', '.join(unknown)}"
        )


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(
        code="seam_at_dishwasher", severity=severity, message=message, about=about, source=SOURCE
    )
