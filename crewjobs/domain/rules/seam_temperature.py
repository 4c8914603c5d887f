"""A seam's adhesive is brought in before it sets, and sets at all."""

from collections.abc import Iterator

from crewjobs.domain.adhesives import COLD_DEG_C, SHEETS, seam_adhesive
from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "10 degrees more halve the working time, a rule of thumb; the maker's sheet comes first"
GUARDS: frozenset[Stage] = frozenset()


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for a seam in the cold, or one that takes longer to fill than it stays soft.

    Solvents: gloves, fresh air, no flame; the data sheet comes first.
    """
    thickness = {piece.name: piece.thickness_mm for piece in job.work.pieces}
    degrees = job.work.temperature_deg_c
    for seam in job.work.seams:
        found = seam_adhesive(
            seam.length_mm,
            max(thickness[seam.first], thickness[seam.second]),
            temperature_deg_c=degrees,
            sheet=SHEETS[seam.method],
        )
        said = []
        if found.is_cold:
            said.append(
                f"{degrees:g} C, the least is {COLD_DEG_C:g}: warm the stone or move the day"
            )
        if found.is_too_slow:
            said.append(
                f"placing takes {found.placing_min:.1f} min, it stays soft for "
                f"{found.working_min:.1f}: {found.batches} batches"
            )
        if said:
            yield Finding(
                code="seam_temperature",
                severity=Severity.WARN,
                message=f"seam {seam.name}: {'; '.join(said)}. Gloves, fresh air, no flame.",
                about=seam.name,
                source=SOURCE,
            )
