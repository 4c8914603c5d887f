"""A seam's adhesive is brought in before it sets, and sets at all."""

from collections.abc import Iterator

from crewjobs.domain.adhesives import mixed
from crewjobs.domain.facts import Job, Seam, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "10 degrees more halve the working time, a rule of thumb; the maker's sheet comes first"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for a seam in the cold, and one that takes longer to fill than it stays soft.

    Solvents: gloves, fresh air, no flame; the data sheet comes first.
    """
    degrees, cold = job.work.temperature_deg_c, job.limits.cold_deg_c
    for each in mixed(job.work, job.limits):
        seam, found = each.seam, each.takes
        if degrees < cold:
            said = f"{degrees:g} C, the least is {cold:g} C: warm the stone or move the day"
            yield _warning(seam, said, degrees, cold, "C")
        if found.is_too_slow:
            said = (
                f"placing takes {found.placing_min:.1f} min, it stays soft for "
                f"{found.working_min:.1f} min: {found.batches} batches"
            )
            yield _warning(seam, said, found.placing_min, found.working_min, "min")


def _warning(seam: Seam, said: str, value: float, limit: float, unit: str) -> Finding:
    return Finding(
        code="seam_temperature",
        severity=Severity.WARN,
        message=f"seam {seam.name}: {said}. Gloves, fresh air, no flame.",
        about=seam.name,
        source=SOURCE,
        value=value,
        limit=limit,
        unit=unit,
    )
