"""How many people carry a piece: by the shop's rule, by guidance, and by the lifting index.

Three numbers, never one: each knows something else, and none is a permission. The shop's rule is a
planning figure and no health limit; guidance for lifting in teams and the lifting equation allow
less, and neither covers stairs. Aids, not people, carry the heavy pieces.
"""

from dataclasses import dataclass
from math import ceil, radians, tan

from crewjobs.domain.facts import Piece
from crewjobs.domain.lifting_equation import NOT_COVERED, Lift, index_factor
from crewjobs.domain.limits import USUAL, Limits
from crewjobs.domain.pieces import centre_of_gravity_mm, mass_kg

CARRIER_KG = 45.0
"""Common practice, not measured: what a shop plans for one person; the shop sets its own."""

MOST_CARRIERS = 4
"""More than four are unlikely to work together well (UK HSE, guidance L23 on manual handling)."""

TEAM_SHARES = {1: 1.0, 2: 2 / 3, 3: 1 / 2}
"""Of the sum of what each could lift alone (UK HSE, L23); nothing is published for more than
three."""

AID_INDEX = 3.0
"""Above it nearly all workers are at increased risk (NIOSH 94-110, p. 20)."""

SHOP_NOT_COVERED = "a planning figure: it knows no stairs, no grip, no distance and no person"
GUIDELINE_NOT_COVERED = (
    "a guideline for lifting now and then, carried up to some 10 m: on stairs most of the weight "
    "may fall on the lower person (UK HSE, L23)"
)
EQUATION_NOT_COVERED = NOT_COVERED


def carriers(
    piece: Piece, *, carrier_kg: float = CARRIER_KG, alone_mm: float = USUAL.alone_most_mm
) -> int:
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
    by_length = 2 if max(piece.length_mm, piece.depth_mm) > alone_mm else 1
    return max(by_mass, by_length)


def hands_needed(pieces: tuple[Piece, ...], *, carrier_kg: float = CARRIER_KG) -> int:
    """The hands that the heaviest piece asks for, never fewer than two on an install."""
    return max([2, *(carriers(piece, carrier_kg=carrier_kg) for piece in pieces)])


def team_kg(people: int, *, single_kg: float = USUAL.single_kg) -> float | None:
    """What a team lifts together by the guideline; None for more than three.

    Examples
    --------
    >>> round(team_kg(2), 1), team_kg(3), team_kg(4)
    (33.3, 37.5, None)
    """
    share = TEAM_SHARES.get(people)
    return None if share is None else people * single_kg * share


def guideline_people(mass_kg: float, *, single_kg: float = USUAL.single_kg) -> int | None:
    """The smallest team that the guideline allows a mass; None: bring a lifting aid."""
    teams = ((people, team_kg(people, single_kg=single_kg)) for people in TEAM_SHARES)
    return next((people for people, most in teams if most is not None and mass_kg <= most), None)


def lower_share(piece: Piece, *, pitch_deg: float = 0.0) -> float:
    """The share of the mass at the heavier end, the lower one on stairs, at worst 1.

    The piece is on edge, parallel to the stairs, held at both ends of its lower edge; whichever
    end goes first.

    References
    ----------
    Moments about the other end: ``x / L + y tan(pitch) / L`` for a centre x from that end and y
    above the lower edge; for an even plate ``1/2 + H tan(pitch) / (2 L)``.

    Examples
    --------
    >>> top = Piece(name="A", outline_mm=((0, 0), (2400, 0), (2400, 648), (0, 648)),
    ...             thickness_mm=30)
    >>> round(lower_share(top), 3), round(lower_share(top, pitch_deg=37), 3)
    (0.5, 0.602)
    """
    x, y = centre_of_gravity_mm(piece)
    along = x - min(px for px, _ in piece.outline_mm)
    above = y - min(py for _, py in piece.outline_mm)
    length = piece.length_mm
    if piece.depth_mm > length:
        along, above, length = above, along, piece.depth_mm
    end = max(along, length - along) / length
    return min(1.0, end + above * tan(radians(pitch_deg)) / length)


@dataclass(frozen=True, kw_only=True, slots=True)
class Hands:
    """What three methods say of carrying one piece with one team."""

    mass_kg: float
    shop_people: int
    """By the shop's rule. See SHOP_NOT_COVERED."""
    guideline_people: int | None
    """By the guideline; None: more than a team of three may lift. See GUIDELINE_NOT_COVERED."""
    index_factor: float
    """The lifting index of the person with the largest share. See EQUATION_NOT_COVERED."""
    lower_share: float
    """Of the mass, at the lower end."""

    @property
    def asks_for_aid(self) -> bool:
        """Whether any of the three asks for a trolley, clamps or a crane instead of hands."""
        return (
            self.guideline_people is None
            or self.index_factor > AID_INDEX
            or self.shop_people > MOST_CARRIERS
        )


def hands(
    piece: Piece,
    people: int,
    *,
    pitch_deg: float = 0.0,
    carrier_kg: float = CARRIER_KG,
    limits: Limits = USUAL,
) -> Hands:
    """What the three methods say of a piece, carried by so many people.

    Each end has half the people. The shop's team factor lowers what each may lift in a team.

    Raises
    ------
    ValueError
        If nobody comes.

    Examples
    --------
    >>> top = Piece(name="A", outline_mm=((0, 0), (2440, 0), (2440, 650), (0, 650)),
    ...             thickness_mm=30)
    >>> found = hands(top, 3)
    >>> found.shop_people, found.guideline_people, round(found.index_factor, 1)
    (3, None, 2.2)
    """
    if people < 1:
        raise ValueError(f"people is {people}, the least is 1")
    heavy_kg = mass_kg(piece)
    share = lower_share(piece, pitch_deg=pitch_deg)
    own_kg = heavy_kg if people == 1 else heavy_kg * share / (people / 2)
    return Hands(
        mass_kg=heavy_kg,
        shop_people=carriers(piece, carrier_kg=carrier_kg, alone_mm=limits.alone_most_mm),
        guideline_people=guideline_people(heavy_kg, single_kg=limits.single_kg),
        index_factor=index_factor(own_kg if people == 1 else own_kg / limits.team_factor, Lift()),
        lower_share=share,
    )
