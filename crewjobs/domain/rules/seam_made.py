"""A seam, once made, is as wide and as even as the stone manual says."""

from collections.abc import Iterator
from dataclasses import replace

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


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each seam out of tolerance; a note, once installed, if not measured."""
    for seam in job.work.seams:
        for said, value, limit in _faults(seam, job.limits.felt_mm):
            warning = _finding(Severity.WARN, f"seam {seam.name}: {said}", seam.name)
            yield replace(warning, value=value, limit=limit, unit="mm")
    sizes = ((s, (s.gap_mm, s.edge_lippage_mm, s.lippage_mm)) for s in job.work.seams)
    unknown = [seam.name for seam, measured in sizes if None in measured]
    if unknown and job.record.stage.rank >= Stage.INSTALLED.rank:
        yield _finding(Severity.NOTE, f"width or lippage not measured: {', '.join(unknown)}")


def _faults(seam: Seam, felt_mm: float) -> Iterator[tuple[str, float, float]]:
    gap, edge, middle = seam.gap_mm, seam.edge_lippage_mm or 0.0, seam.lippage_mm or 0.0
    if gap is not None and not LEAST_MM - 1e-6 <= gap <= MOST_MM + 1e-6:
        said = f"{gap:.1f} mm wide, it should be {LEAST_MM:.1f} mm to {MOST_MM:.1f} mm"
        yield said, gap, LEAST_MM if gap < LEAST_MM else MOST_MM
    if edge > felt_mm:
        yield f"{edge:.1f} mm lippage at an edge, none should be felt", edge, felt_mm
    if middle > MOST_LIPPAGE_MM + 1e-6:
        said = f"{middle:.1f} mm lippage, the most is {MOST_LIPPAGE_MM:.1f} mm"
        yield said, middle, MOST_LIPPAGE_MM


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(code="seam_made", severity=severity, message=message, about=about, source=SOURCE)
