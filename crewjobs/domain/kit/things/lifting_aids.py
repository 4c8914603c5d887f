"""Trolley, clamps, straps or a crane, as the three numbers of hands ask for."""

from collections.abc import Iterator

from crewjobs.domain import lifting
from crewjobs.domain.carrying import Carried
from crewjobs.domain.facts import PieceKind
from crewjobs.domain.hours.steps import ON_SITE
from crewjobs.domain.kit.lines import GUESS, Group, Line
from crewjobs.domain.kit.outings import Outing

SOURCE = (
    "an aid where the shop's rule, the guideline (UK HSE, L23) or the lifting index (NIOSH 94-110) "
    f"asks for one; which aid, and how many: {GUESS}"
)
VISITS = ON_SITE
CLAMPS = 2
CAUTION = "its own marked load comes first; none of the numbers is a permission"


def lines(outing: Outing) -> Iterator[Line]:
    """What the pieces ask for that people should not carry by hand, and straps for the others."""
    slabs = [each for each in outing.carry_in.pieces if each.piece.kind is not PieceKind.BACKSPLASH]
    heavy = [each for each in slabs if each.hands.asks_for_aid]
    if heavy:
        yield from _aids(outing, heavy)
    shared = [each for each in slabs if each.hands.shop_people > 1]
    if shared:
        people = min(lifting.MOST_CARRIERS, max(each.hands.shop_people for each in shared))
        yield Line(
            name="carrying strap",
            group=Group.HANDLING,
            why=_names(shared),
            value=float(people),
            caution=CAUTION,
        )


def _aids(outing: Outing, heavy: list[Carried]) -> Iterator[Line]:
    most_kg = max(each.hands.mass_kg for each in heavy)
    end_kg = max(each.hands.mass_kg * each.hands.lower_share for each in heavy)
    yield _aid("trolley for stone on edge", heavy, most_kg)
    if outing.work.flights and not outing.work.has_lift:
        yield _aid("trolley for stairs", heavy, most_kg)
    yield _aid("carrying clamp", heavy, end_kg, count=CLAMPS)
    if beyond := [each for each in heavy if each.hands.shop_people > lifting.MOST_CARRIERS]:
        yield _aid("crane or lifting table", beyond, most_kg)


def _aid(name: str, pieces: list[Carried], load_kg: float, *, count: int = 1) -> Line:
    return Line(
        name=name,
        group=Group.HANDLING,
        why=_names(pieces),
        value=float(count),
        load_kg=load_kg,
        caution=CAUTION,
    )


def _names(pieces: list[Carried]) -> str:
    return ", ".join(each.piece.name for each in pieces)
