"""A seam keeps away from a sink, or is reinforced there, by the rule set."""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.facts import CutoutKind, Job, RuleSet, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "ANSI/AWI 1236-2022 (no sink within 457 mm of a joint); Dimension Stone Design Manual, ch. 17, "
    "drawing 17-D-1 (allowed at a sink with reinforcement)"
)
GUARDS: frozenset[Stage] = frozenset()
LEAST_MM = 457.2
"""18 in."""
SINKS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK})


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for a seam too near, a note by the stone manual, a note if not measured."""
    if not any(hole.kind in SINKS for piece in job.work.pieces for hole in piece.cutouts):
        return
    is_stone = job.rule_set is RuleSet.STONE
    severity = Severity.NOTE if is_stone else Severity.WARN
    remedy = "reinforce it" if is_stone else "move it"
    for seam in job.work.seams:
        if seam.to_sink_mm is not None and seam.to_sink_mm < LEAST_MM - 1e-6:
            said = f"seam {seam.name} is {seam.to_sink_mm:.0f} mm from a sink, the least is"
            finding = _finding(severity, f"{said} {LEAST_MM:.0f} mm: {remedy}", seam.name)
            yield replace(finding, value=seam.to_sink_mm, limit=LEAST_MM, unit="mm")
    if unknown := [seam.name for seam in job.work.seams if seam.to_sink_mm is None]:
        yield _finding(Severity.NOTE, f"distance to the sink not measured: {', '.join(unknown)}")


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(
        code="seam_at_sink", severity=severity, message=message, about=about, source=SOURCE
    )
