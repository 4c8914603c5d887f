"""A seam, once made, is as wide and as even as the stone manual says."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Seam, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "Dimension Stone Design Manual, ch. 17: 1/16 in, 1/64 in more or less; no lippage at the "
    "edges, 1/32 in at mid-depth"
)
GUARDS: frozenset[Stage] = frozenset()
INCH_MM = 25.4
LEAST_MM, MOST_MM = 3 / 64 * INCH_MM, 5 / 64 * INCH_MM
MOST_LIPPAGE_MM = INCH_MM / 32
DETECTABLE_MM = 0.1
"""Common practice: less is not felt."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each seam out of tolerance; a note, once installed, if not measured."""
    for seam in job.work.seams:
        for said in _faults(seam):
            yield _finding(Severity.WARN, f"seam {seam.name}: {said}", seam.name)
    sizes = ((s, (s.gap_mm, s.edge_lippage_mm, s.lippage_mm)) for s in job.work.seams)
    unknown = [seam.name for seam, measured in sizes if None in measured]
    if unknown and job.record.stage.rank >= Stage.INSTALLED.rank:
        yield _finding(Severity.NOTE, f"width or lippage not measured: {', '.join(unknown)}")


def _faults(seam: Seam) -> Iterator[str]:
    if seam.gap_mm is not None and not LEAST_MM - 1e-6 <= seam.gap_mm <= MOST_MM + 1e-6:
        yield f"{seam.gap_mm:.1f} mm wide, it should be {LEAST_MM:.1f} to {MOST_MM:.1f}"
    if (seam.edge_lippage_mm or 0) > DETECTABLE_MM:
        yield f"{seam.edge_lippage_mm:.1f} mm lippage at an edge, none should be felt"
    if (seam.lippage_mm or 0) > MOST_LIPPAGE_MM + 1e-6:
        yield f"{seam.lippage_mm:.1f} mm lippage, the most is {MOST_LIPPAGE_MM:.1f}"


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(code="seam_made", severity=severity, message=message, about=about, source=SOURCE)
