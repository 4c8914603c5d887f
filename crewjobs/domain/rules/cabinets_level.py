"""The cabinets are level before stone is set on them."""

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from crewjobs.domain import answers
from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "Dimension Stone Design Manual: a finished top within 1/8 in over 10 ft; read as a flat limit "
    "for each started 10 ft; no figure for cabinets was seen"
)
GUARDS: frozenset[Stage] = frozenset()
MOST_MM, EACH_MM = 3.175, 3048.0
"""1/8 in for each 10 ft."""


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning if the cabinets are out of level, a note if nobody measured.

    Where it was measured as the answer to a question, that answer is judged instead.
    """
    if ("off_level", "") in answers.newest(job):
        return
    off, run = job.work.off_level_mm, job.work.cabinet_run_mm
    if off is None:
        if run:
            yield _finding(Severity.NOTE, "level of the cabinets not measured")
        return
    limit = MOST_MM * max(1, ceil(run / EACH_MM - 1e-9))
    if off > limit + 1e-6:
        warning = _finding(
            Severity.WARN,
            f"cabinets are {off:.1f} mm out of level over {run:.0f} mm, the most is {limit:.1f} "
            "mm: shim them first",
        )
        yield replace(warning, value=off, limit=limit, unit="mm")


def _finding(severity: Severity, message: str) -> Finding:
    return Finding(code="cabinets_level", severity=severity, message=message, source=SOURCE)
