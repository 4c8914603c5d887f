"""Stone is cut to measured sizes."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "trade practice: nothing is cut before the cabinets stand and are measured"
GUARDS = frozenset({Stage.TEMPLATED, Stage.IN_FABRICATION})


def check(job: Job) -> Iterator[Finding]:
    """Yield a stop while no template visit is done and no sizes were taken over otherwise."""
    if job.record.is_templated:
        return
    sizes = (
        "the sizes that came in are not measured ones" if job.work.pieces else "no sizes came in"
    )
    yield Finding(
        code="template_missing",
        severity=Severity.STOP,
        message=f"the site is not templated: no template visit is done, and {sizes}",
        source=SOURCE,
    )
