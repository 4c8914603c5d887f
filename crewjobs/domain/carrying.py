"""A job's pieces on its way in: what geometry says of each, and what three methods say of hands.

It puts side by side what `access` and `lifting` know. It refuses to make one number of them, and
none is a permission: no rule broken that we know of is the most that it says.
"""

from dataclasses import dataclass

from crewjobs.domain import access, lifting
from crewjobs.domain.facts import Job, Piece, RouteKind

CAUTION = (
    "That a piece fits says that no rule is broken that we know of, within the clearances; no "
    "room for bodies, handrails or hooks is counted. No number of people is a permission: local "
    "rules for lifting come first, and a trolley, clamps or a crane come before hands."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Carried:
    """One piece on the way in, in the hands of the team."""

    piece: Piece
    verdict: access.Verdict
    hands: lifting.Hands


@dataclass(frozen=True, kw_only=True, slots=True)
class Admitted:
    """The longest piece as deep and as thick as the job's deepest and thickest."""

    depth_mm: float
    thickness_mm: float
    longest: access.Longest


@dataclass(frozen=True, kw_only=True, slots=True)
class CarryIn:
    """A whole job on its way in."""

    pieces: tuple[Carried, ...]
    admitted: Admitted | None
    """None without pieces or without a way in."""
    people: int
    """The team that the lifting index and the share are counted for."""
    pitch_deg: float
    """Of the steepest stairs; 0 where there are none, or nobody measured them."""
    is_pitch_missing: bool
    """Some stairs have no measured pitch: the lower end bears more than is said."""


def carry_in(job: Job) -> CarryIn:
    """What is known of carrying each piece of a job in.

    Examples
    --------
    >>> from crewjobs.domain.facts import RouteElement, Work
    >>> top = Piece(name="A", outline_mm=((0, 0), (2500, 0), (2500, 648), (0, 648)),
    ...             thickness_mm=30)
    >>> corner = RouteElement(kind=RouteKind.TURN, width_mm=914, depth_mm=914, height_mm=2438,
    ...                       turn_deg=90)
    >>> found = carry_in(Job(work=Work(pieces=(top,), route=(corner,))))
    >>> str(found.pieces[0].verdict.answer), found.pieces[0].hands.shop_people
    ('fits only tilted', 3)
    """
    pitch_deg, is_missing = stairs(job)
    return CarryIn(
        pieces=tuple(_carried(job, piece) for piece in job.work.pieces),
        admitted=_admitted(job),
        people=job.team.hands,
        pitch_deg=pitch_deg,
        is_pitch_missing=is_missing,
    )


def stairs(job: Job) -> tuple[float, bool]:
    """The pitch in degrees of the steepest measured stairs, and whether some were not measured."""
    pitches = [e.pitch_deg for e in job.work.route if e.kind is RouteKind.STAIRS]
    return max((pitch or 0.0 for pitch in pitches), default=0.0), None in pitches


def verdict(job: Job, piece: Piece) -> access.Verdict:
    """What geometry says of one piece on the job's way in."""
    return access.check(
        piece,
        job.work.route,
        job.clearances,
        from_cutout_mm=job.limits.part_from_cutout_mm,
        searched=job.searched,
    )


def hands(job: Job, piece: Piece) -> lifting.Hands:
    """What the three methods say of one piece in the hands of the job's team."""
    pitch_deg, _ = stairs(job)
    return lifting.hands(
        piece,
        job.team.hands,
        pitch_deg=pitch_deg,
        carrier_kg=job.carrier_kg,
        limits=job.limits,
    )


def _carried(job: Job, piece: Piece) -> Carried:
    return Carried(piece=piece, verdict=verdict(job, piece), hands=hands(job, piece))


def _admitted(job: Job) -> Admitted | None:
    pieces, route = job.work.pieces, job.work.route
    if not pieces or not route:
        return None
    depth_mm = max(min(piece.length_mm, piece.depth_mm) for piece in pieces)
    thickness_mm = max(piece.thickness_mm for piece in pieces)
    longest = access.longest_piece(
        route,
        depth_mm,
        thickness_mm=thickness_mm,
        clearances=job.clearances,
        searched=job.searched,
    )
    return Admitted(depth_mm=depth_mm, thickness_mm=thickness_mm, longest=longest)
