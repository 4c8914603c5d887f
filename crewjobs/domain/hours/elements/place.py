"""Set the pieces and fit them dry."""

from collections.abc import Iterator

from crewjobs.domain.facts import Piece
from crewjobs.domain.hours.steps import ON_SITE, Goal, Milestone, Minutes, Prior, Step, Visit

SOURCE = "trade practice: dry fit from one end of the run to the other, all before the first seam"
VISITS = ON_SITE
STANDARD = {
    "piece_min": Prior(value_min=6.0, note="a piece: lift on, align, check the overhang"),
    "length_m_min": Prior(value_min=2.0, note="a metre of its length: shim to lie flat"),
}


def steps(visit: Visit, minutes: Minutes) -> Iterator[Step]:
    """One step for each piece, after its neighbour in the run."""
    for piece in visit.slabs:
        about = (Milestone.CARRIED, Milestone.SUPPORTED)
        yield Step(
            name=f"set {piece.name}",
            hands=max(2, visit.carriers(piece)),
            normal_min=minutes["piece_min"] + minutes["length_m_min"] * piece.length_mm / 1000,
            after=(
                Goal(Milestone.LEVELED),
                Goal(Milestone.CLEARED),
                Goal(Milestone.CHECKED),
                *(Goal(milestone, piece.name) for milestone in about),
                *(Goal(Milestone.SET, name) for name in _set_before(visit, piece)),
            ),
            reaches=Goal(Milestone.SET, piece.name),
        )


def _set_before(visit: Visit, piece: Piece) -> Iterator[str]:
    """The pieces listed before this one that a seam joins to it."""
    earlier: set[str] = set()
    for other in visit.slabs:
        if other is piece:
            break
        earlier.add(other.name)
    for seam in visit.work.seams:
        if piece.name in (seam.first, seam.second):
            yield from {seam.first, seam.second} & earlier
