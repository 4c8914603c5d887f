"""Stone bridges no wider opening than its thickness allows."""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.facts import Job, PieceKind, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = (
    "Dimension Stone Design Manual, ch. 17 (610 mm at 2 cm, 914 mm at 3 cm); the woodwork standard "
    "has a load test and no figure, so this counts in every set"
)
GUARDS: frozenset[Stage] = frozenset()
THIN_MOST_MM, THICK_MOST_MM = 609.6, 914.4
"""2 ft for 2 cm, 3 ft for 3 cm."""
LYING = frozenset({PieceKind.TOP, PieceKind.ISLAND})


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each span beyond its limit, and a note for those not measured."""
    lying = [piece for piece in job.work.pieces if piece.kind in LYING]
    for piece in lying:
        is_thin = piece.thickness_mm < job.limits.thin_below_mm
        limit = THIN_MOST_MM if is_thin else THICK_MOST_MM
        if piece.span_mm is not None and piece.span_mm > limit + 1e-6:
            warning = _finding(
                Severity.WARN,
                f"piece {piece.name} ({piece.thickness_mm:g} mm) spans {piece.span_mm:.0f} mm, the "
                f"most is {limit:.0f} mm: put a support between",
                piece.name,
            )
            yield replace(warning, value=piece.span_mm, limit=limit, unit="mm")
    if unknown := [piece.name for piece in lying if piece.span_mm is None]:
        yield _finding(Severity.NOTE, f"span between supports not measured: {', '.join(unknown)}")


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(code="span", severity=severity, message=message, about=about, source=SOURCE)
