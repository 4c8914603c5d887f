"""Every piece goes in by the way that was measured."""

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from crewjobs.domain import access, carrying
from crewjobs.domain.facts import Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "plane geometry of each element, within the shop's clearances; steps count as a ramp"
GUARDS: frozenset[Stage] = frozenset()
CAUTION = "No room for bodies, handrails or hooks is counted."


def check(job: Job) -> Iterator[Finding]:
    """Yield what stops a piece on the way in, needs a tilt, is tight, or was not measured.

    No finding means that no element is known to stop a piece; it certifies no carry.
    """
    missing: set[str] = set()
    unbounded: list[str] = []
    for piece in job.work.pieces:
        verdict = carrying.verdict(job, piece)
        unbounded += [piece.name] * (verdict.answer is access.Answer.NOTHING_MEASURED)
        missing |= set(verdict.missing)
        is_stuck = verdict.answer is access.Answer.TOO_LONG
        if is_stuck or verdict.answer is access.Answer.TILTED or verdict.measure_again:
            finding = _finding(
                Severity.STOP if is_stuck else Severity.WARN,
                f"piece {piece.name}: {verdict}. {CAUTION}",
                piece.name,
            )
            yield _with_numbers(finding, piece, verdict)
    if job.work.pieces and not job.work.route:
        missing = {"the whole way in"}
    elif unbounded:
        said = "nothing is measured on the way in that could stop a piece; that says nothing of"
        yield _finding(Severity.NOTE, f"{said} {', '.join(unbounded)}")
    if missing:
        said = "; ".join(sorted(missing))
        yield _finding(Severity.WARN, f"not measured: {said}. Nothing is said to fit until it is.")


def _with_numbers(finding: Finding, piece: Piece, verdict: access.Verdict) -> Finding:
    """With the piece's length and the longest that goes in, where length decides."""
    if not 0 < verdict.tilted_mm < inf:
        return finding
    length_mm = max(piece.length_mm, piece.depth_mm)
    return replace(finding, value=length_mm, limit=verdict.tilted_mm, unit="mm")


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(code="carry_in", severity=severity, message=message, about=about, source=SOURCE)
