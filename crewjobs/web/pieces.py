"""Pieces of stone as pages show them: drawn, weighed, with the hands that they ask for."""

from collections.abc import Iterable
from dataclasses import dataclass

from crewjobs import snapshots
from crewjobs.domain import lifting, pieces
from crewjobs.models import Job, Piece
from crewjobs.web import drawings
from crewjobs.web.pages import Asked
from crewjobs.web.wording import extent


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceRow:
    """A piece with what is computed of it."""

    row: Piece
    drawing: drawings.PieceDrawing
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
    facts = {fact.name: fact for fact in snapshots.work(job).pieces}
    found = [(row, facts[row.name]) for row in rows]
    scale = drawings.units_per_mm([fact for _, fact in found])
    return [
        PieceRow(
            row=row,
            drawing=drawings.piece(fact, scale, lambda value_mm: extent(value_mm, asked.shop)),
            area_m2=pieces.area_m2(fact),
            mass_kg=pieces.mass_kg(fact),
            hands=lifting.carriers(fact, carrier_kg=asked.shop.carrier_kg),
        )
        for row, fact in found
    ]
