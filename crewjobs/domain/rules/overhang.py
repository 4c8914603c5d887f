"""Stone reaches no further beyond its supports than the rule set allows."""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.facts import Job, Piece, PieceKind, RuleSet, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "Dimension Stone Design Manual, ch. 17 (150 mm at 2 cm, 250 mm at 3 cm, a third of the depth); "
    "ANSI/AWI 1236-2022 (305 mm)"
)
GUARDS: frozenset[Stage] = frozenset()
THIN_MOST_MM, THICK_MOST_MM = 152.4, 254.0
"""Stone manual: 6 in for 2 cm, 10 in for 3 cm."""
DEPTH_SHARE = 1 / 3
WOODWORK_MOST_MM = 304.8
"""Woodwork standard: 12 in unless specified otherwise."""
LYING = frozenset({PieceKind.TOP, PieceKind.ISLAND})


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each overhang beyond its limit, and a note for those not measured."""
    lying = [piece for piece in job.work.pieces if piece.kind in LYING]
    for piece in lying:
        limit, why = _limit(piece, job.rule_set, job.limits.thin_below_mm)
        if piece.overhang_mm is not None and piece.overhang_mm > limit + 1e-6:
            warning = _finding(
                Severity.WARN,
                f"piece {piece.name} overhangs {piece.overhang_mm:.0f} mm, the most is "
                f"{limit:.0f} mm ({why}): brackets, corbels or a panel",
                piece.name,
            )
            yield replace(warning, value=piece.overhang_mm, limit=limit, unit="mm")
    if unknown := [piece.name for piece in lying if piece.overhang_mm is None]:
        yield _finding(Severity.NOTE, f"overhang not measured: {', '.join(unknown)}")


def _limit(piece: Piece, rule_set: RuleSet, thin_mm: float) -> tuple[float, str]:
    by_thickness = THIN_MOST_MM if piece.thickness_mm < thin_mm else THICK_MOST_MM
    limits = {
        RuleSet.WOODWORK: [(WOODWORK_MOST_MM, "woodwork standard")],
        RuleSet.STONE: [
            (by_thickness, f"stone manual, {piece.thickness_mm:g} mm thick"),
            (DEPTH_SHARE * piece.depth_mm, f"stone manual, a third of {piece.depth_mm:g} mm"),
        ],
    }
    if rule_set is RuleSet.STRICTER:
        return min(limits[RuleSet.STONE] + limits[RuleSet.WOODWORK])
    return min(limits[rule_set])


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(code="overhang", severity=severity, message=message, about=about, source=SOURCE)
