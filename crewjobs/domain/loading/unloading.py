"""How a load goes on the truck and comes off again: step by step, as a crew does it."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from crewjobs.domain.loading.frames import Item
from crewjobs.domain.loading.plans import LoadPlan, Place


class Where(StrEnum):
    """A part of the truck."""

    LEFT = "left"
    RIGHT = "right"
    RACK = "rack"


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One piece that is put on or taken off."""

    item: Item
    where: Where
    number: int
    """Of its place there, innermost first."""
    goes_back: bool = False
    """It is only in the way: it is taken off and put back."""


def loading(plan: LoadPlan) -> tuple[Step, ...]:
    """Every piece in the order in which it goes on: next on the lighter side, from within."""
    sides = {
        Where.LEFT: _steps(plan.left, Where.LEFT),
        Where.RIGHT: _steps(plan.right, Where.RIGHT),
    }
    on_kg = dict.fromkeys(sides, 0.0)
    found: list[Step] = []
    while any(sides.values()):
        where = min((each for each in sides if sides[each]), key=lambda each: on_kg[each])
        step = sides[where].pop(0)
        on_kg[where] += step.item.mass_kg
        found.append(step)
    return (*found, *_in_rack(plan))


def unloading(plan: LoadPlan) -> dict[int, tuple[Step, ...]]:
    """What comes off at each stop, in that order; what goes back stands there again at the next."""
    left, right = _steps(plan.left, Where.LEFT), _steps(plan.right, Where.RIGHT)
    rack = list(_in_rack(plan))
    found = {}
    for stop in sorted({step.item.stop for step in (*left, *right, *rack)}):
        off = [*_off(left, stop)], [*_off(right, stop)]
        here = [step for step in rack if step.item.stop == stop]
        found[stop] = tuple(_merged(*off, here))
        left, right = ([s for s in side if s.item.stop != stop] for side in (left, right))
    return found


def _steps(places: tuple[Place, ...], where: Where) -> list[Step]:
    return [Step(item=p.item, where=where, number=n) for n, p in enumerate(places, start=1)]


def _in_rack(plan: LoadPlan) -> Iterator[Step]:
    for number, item in enumerate(plan.rack, start=1):
        yield Step(item=item, where=Where.RACK, number=number)


def _off(side: list[Step], stop: int) -> Iterator[Step]:
    """From the outermost down to the innermost that this stop wants."""
    deepest = next((n for n, step in enumerate(side) if step.item.stop == stop), len(side))
    for step in reversed(side[deepest:]):
        is_wanted = step.item.stop == stop
        yield Step(item=step.item, where=step.where, number=step.number, goes_back=not is_wanted)


def _merged(*sides: list[Step]) -> Iterator[Step]:
    """Next from the side where the piece that is set soonest is to be reached."""
    left = [list(side) for side in sides if side]
    while left:
        side = min(left, key=_soonest)
        yield side.pop(0)
        left = [each for each in left if each]


def _soonest(side: list[Step]) -> int:
    return min((step.item.order for step in side if not step.goes_back), default=0)
