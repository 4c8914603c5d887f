"""Whether a piece can be carried in: corners, doors, stairs, landings, lifts.

A piece is a rigid plate carried on edge by its longer side. `check` says what each element of the
way in admits, and never that it fits where a size was not measured or no motion is known. It knows
nothing of the people beside the piece, of handrails and hooks, of weight, or of a piece laid flat.
"""

from crewjobs.domain.access.elements import Limit, side_rooms
from crewjobs.domain.access.search import SideRoom
from crewjobs.domain.access.verdicts import (
    Answer,
    Longest,
    Verdict,
    check,
    longest_piece,
)

__all__ = [
    "Answer",
    "Limit",
    "Longest",
    "SideRoom",
    "Verdict",
    "check",
    "longest_piece",
    "side_rooms",
]
