"""Pieces of stone as pages show them: drawn, weighed, with the hands that they ask for."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from crewjobs import snapshots
from crewjobs.domain import drawings, facts, lifting, pieces
from crewjobs.domain.limits import Limits
from crewjobs.models import Job, Piece
from crewjobs.web.drawings import OnPage, on_page
from crewjobs.web.pages import Asked


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceRow:
    """A piece with what is computed of it."""

    row: Piece
    drawing: OnPage | None
    area_m2: float
    mass_kg: float
    hands: int

    @property
    def inspection(self) -> str:
        """What the newest inspection said."""
        newest = max(self.row.inspections.all(), key=lambda i: i.created_at, default=None)
        return "not yet" if newest is None else "passed" if newest.passed else "failed"


def piece_rows(asked: Asked, job: Job, rows: Iterable[Piece]) -> list[PieceRow]:
    """Pieces of a job, drawn to one scale, with their mass and the hands that they ask for."""
    known = {fact.name: fact for fact in snapshots.work(job).pieces}
    found = [(row, known[row.name]) for row in rows]
    longest_mm = max((max(f.length_mm, f.depth_mm) for _, f in found), default=0.0)
    return [
        PieceRow(
            row=row,
            drawing=_drawn(asked, fact, longest_mm),
            area_m2=pieces.area_m2(fact),
            mass_kg=pieces.mass_kg(fact),
            hands=lifting.carriers(fact, carrier_kg=asked.shop.carrier_kg),
        )
        for row, fact in found
    ]


def layout(asked: Asked, work: facts.Work) -> OnPage | None:
    """The whole job from above; None where there are no two pieces."""
    if len(work.pieces) < 2:
        return None
    return on_page(partial(drawings.layout, work), asked.shop, "layout")


def _drawn(asked: Asked, fact: facts.Piece, longest_mm: float) -> OnPage | None:
    limits = Limits.of(asked.shop.limits)
    return on_page(
        lambda lettering: drawings.piece(fact, lettering, longest_mm=longest_mm, limits=limits),
        asked.shop,
        f"piece {fact.name}",
    )
