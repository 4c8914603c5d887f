"""How many people carry a piece, by the shop's own rule for planning.

This is a planning figure and no health limit: guidance for lifting in teams and the lifting
equation allow less, and neither covers stairs. Aids, not people, carry the heavy pieces.
"""

from math import ceil

from crewjobs.domain.facts import Piece
from crewjobs.domain.pieces import mass_kg

CARRIER_KG = 45.0
"""Common practice, not measured: what a shop plans for one person; the shop sets its own."""

ALONE_MM = 1200.0
"""Common practice, not measured: no longer piece is carried by one person."""

MOST_CARRIERS = 4
"""More than four are unlikely to work together well (UK HSE, guidance L23 on manual handling)."""


def carriers(piece: Piece, *, carrier_kg: float = CARRIER_KG) -> int:
    """How many people the shop's rule asks for; it may be more than can take hold of a piece.

    Raises
    ------
    ValueError
        If the share of one person is not above zero.

    Examples
    --------
    >>> carriers(Piece(name="A", outline_mm=((0, 0), (2440, 0), (2440, 650), (0, 650)),
    ...                thickness_mm=30))
    3
    """
    if carrier_kg <= 0:
        raise ValueError(f"carrier_kg is {carrier_kg:g}, it must be more than 0")
    by_mass = ceil(mass_kg(piece) / carrier_kg - 1e-9)
    by_length = 2 if max(piece.length_mm, piece.depth_mm) > ALONE_MM else 1
    return max(by_mass, by_length)


def hands_needed(pieces: tuple[Piece, ...], *, carrier_kg: float = CARRIER_KG) -> int:
    """The hands that the heaviest piece asks for, never fewer than two on an install."""
    return max([2, *(carriers(piece, carrier_kg=carrier_kg) for piece in pieces)])
