"""The words in which an element of the work says what it adds to a visit.

Elements do not know each other. A step waits for milestones and reaches one; who reaches it is no
business of the one who waits. A milestone that nobody works towards holds nobody up.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from crewjobs.domain import lifting
from crewjobs.domain.facts import Piece, PieceKind, Support, Team, VisitKind, Work

UNKNOWN_WALK_MM = 15_000.0
"""Not measured: the walk that is assumed when nobody has described the way in."""

ON_SITE = frozenset({VisitKind.INSTALL, VisitKind.RETURN})
"""The visits on which stone is worked."""


class Milestone(StrEnum):
    """What steps wait for, in the order of the trade."""

    WALK_THROUGH = "walk-through done"
    CLEARED = "old tops out"
    DRAWERS_OUT = "drawers out"
    LEVELED = "cabinets level"
    CHECKED = "template checked"
    SUPPORTED = "supports fitted"
    CARRIED = "piece at the cabinets"
    SET = "piece in its place"
    CUT = "piece cut on site"
    FITTED = "piece fitted again after its cut"
    OPENED = "holes made on site"
    POURED = "adhesive poured"
    GELLED = "poured adhesive gelled"
    BONDED = "seam bonded"
    HARD = "seam hard"
    SINK_HUNG = "sink bonded beneath"
    SINK_IN = "sink laid in"
    STRIP_FIXED = "backsplash fixed"
    ALL_WORK = "all other work"
    """Reached by every step that does not itself wait for it."""


class Goal(NamedTuple):
    """A milestone of one piece or seam, or, about nothing, of all of them."""

    milestone: Milestone
    about: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One piece of work that is not interrupted."""

    name: str
    hands: int
    """How many it takes; a smaller team is slower. 0 when only adhesive works."""
    normal_min: float
    """At a steady pace, without any allowance for rest and delays."""
    after: tuple[Goal, ...] = ()
    reaches: Goal | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Extra:
    """Minutes that an element adds to the steps that reach a goal, whosever they are."""

    goal: Goal
    normal_min: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Prior:
    """A standard time that no one has measured yet, and what it stands for."""

    value_min: float
    note: str
    source: str = "not measured"


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """What the elements know of a visit."""

    kind: VisitKind = VisitKind.INSTALL
    work: Work = field(default_factory=Work)
    team: Team = field(default_factory=Team)
    carrier_kg: float = lifting.CARRIER_KG
    wanted: Mapping[str, int] = field(init=False)
    """How many people the shop's rule asks for to carry each piece, were it a hundred."""

    def __post_init__(self) -> None:
        wanted = {
            piece.name: lifting.carriers(piece, carrier_kg=self.carrier_kg)
            for piece in self.work.pieces
        }
        object.__setattr__(self, "wanted", wanted)

    def carriers(self, piece: Piece) -> int:
        """How many carry a piece; what is beyond four people is the work of an aid."""
        return min(lifting.MOST_CARRIERS, self.wanted[piece.name])

    @property
    def slabs(self) -> tuple[Piece, ...]:
        """The pieces that are carried in and set one by one: all but backsplashes."""
        return tuple(p for p in self.work.pieces if p.kind is not PieceKind.BACKSPLASH)

    @property
    def backsplashes(self) -> tuple[Piece, ...]:
        """The pieces that stand on the tops."""
        return tuple(p for p in self.work.pieces if p.kind is PieceKind.BACKSPLASH)

    @property
    def walk_m(self) -> float:
        """One way from the truck to the cabinets."""
        return (self.work.walk_mm if self.work.route else UNKNOWN_WALK_MM) / 1000

    def supports(self, piece: Piece) -> tuple[Support, ...]:
        """What carries a piece beside its cabinets."""
        return tuple(s for s in self.work.supports if s.piece == piece.name)


Minutes = Mapping[str, float]
"""An element's own standard minutes by their short names."""
