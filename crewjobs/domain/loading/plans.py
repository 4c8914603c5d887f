"""The plan of a truck's day as people read it: who stands where, and what is wrong with it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from crewjobs.domain.findings import Finding
from crewjobs.domain.loading import annealing, checks, exact, loadable
from crewjobs.domain.loading.frames import Costs, Frame, Item
from crewjobs.domain.loading.racks import shared
from crewjobs.domain.loading.stacks import Stack, Stacks

ITERATIONS = 120_000
"""Of the search beyond 16 pieces: about a second."""


class Facing(StrEnum):
    """Finished faces stand face to face and back to back."""

    OUT = "face out"
    IN = "face in"


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """One piece in its stack."""

    item: Item
    facing: Facing
    rehandles: int
    """How often it is taken off and put back."""
    is_set_aside: bool
    overhang_mm: float
    """Over the piece behind it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class LoadPlan:
    """Both sides, innermost first, and every figure that they were chosen by."""

    left: tuple[Place, ...]
    right: tuple[Place, ...]
    cost_min: float
    imbalance_kg: tuple[float, ...]
    """Left less right, on departure and after each stop."""
    thickness_mm: tuple[float, float]
    rack: tuple[Item, ...] = ()
    """What stands in the rack for small pieces, in the order of the stops."""
    problems: tuple[Finding, ...]
    """Each broken rule with its figure and its limit."""
    is_exact: bool

    @property
    def is_feasible(self) -> bool:
        """Whether no rule that is known here is broken."""
        return not self.problems

    @property
    def rehandles(self) -> int:
        """Of all pieces, over the day."""
        return sum(place.rehandles for place in self.left + self.right)

    @property
    def rehandle_kg(self) -> float:
        """The mass that is lifted for nothing, over the day."""
        places = self.left + self.right
        return sum(place.rehandles * place.item.mass_kg for place in places)


def plan(
    items: Sequence[Item],
    frame: Frame | None = None,
    costs: Costs | None = None,
    *,
    seed: int = 0,
    iterations: int = ITERATIONS,
) -> LoadPlan:
    """The cheapest way to load a day's pieces; beyond 16 the best that a seeded search finds.

    Where no way keeps every rule it is the least bad one, and says what it breaks.

    Raises
    ------
    ValueError
        If two items have the same name.
    """
    if len({item.name for item in items}) < len(items):
        raise ValueError("two items have the same name")
    frame = frame or Frame()
    leaning, rack = shared(items, frame)
    stacks = Stacks(leaning, frame, costs or Costs())
    is_exact = len(leaning) <= exact.MOST_ITEMS
    left, right = _loaded(stacks, is_exact, seed, iterations) if leaning else ([], [])
    thick = tuple(sum(stacks.thick[item] for item in side) for side in (left, right))
    return LoadPlan(
        left=tuple(_places(stacks, left)),
        right=tuple(_places(stacks, right)),
        cost_min=stacks.total_min(left, right) if leaning else 0.0,
        imbalance_kg=checks.apart_kg(stacks, left, right),
        thickness_mm=(thick[0], thick[1]),
        rack=tuple(rack),
        problems=(*checks.of_all(items, frame), *checks.broken(stacks, left, right)),
        is_exact=is_exact,
    )


def findings(items: Sequence[Item], frame: Frame | None) -> tuple[Finding, ...]:
    """What keeps a truck from taking these pieces; nothing where there is a way that we know of.

    Examples
    --------
    >>> top = Item(name="A", length_mm=2400, height_mm=650, thickness_mm=30, mass_kg=112, stop=1)
    >>> [finding.message for finding in findings([top], Frame(length_mm=2000))]
    ['A is long 2400 mm, the most is 2000']
    """
    if frame is None:
        return without_truck(items).problems
    return () if loadable.is_loadable(items, frame) else plan(items, frame).problems


def without_truck(items: Sequence[Item]) -> LoadPlan:
    """The plan of a day without a truck: nothing is loaded, which is wrong if there is stone."""
    stone_kg = sum(item.mass_kg for item in items)
    return LoadPlan(
        left=(),
        right=(),
        cost_min=0.0,
        imbalance_kg=(),
        thickness_mm=(0.0, 0.0),
        problems=(checks.no_truck(stone_kg),) if items else (),
        is_exact=True,
    )


def _loaded(
    stacks: Stacks, is_exact: bool, seed: int, iterations: int
) -> tuple[list[int], list[int]]:
    if is_exact:
        return exact.cheapest(stacks)
    known = loadable.any_way(stacks) if len(stacks.items) <= loadable.MOST_ITEMS else None
    left, right = annealing.search(stacks, seed=seed, iterations=iterations, known=known)
    if max(len(left), len(right)) > exact.MOST_ITEMS:
        return left, right
    return exact.ordered(stacks, left), exact.ordered(stacks, right)


def _places(stacks: Stacks, stack: Stack) -> Iterator[Place]:
    stops = steps = 0
    behind = len(stacks.items)
    for number, item in enumerate(stack):
        again, aside = stacks.handling(item, stops, steps)
        yield Place(
            item=stacks.items[item],
            facing=Facing.IN if number % 2 else Facing.OUT,
            rehandles=again,
            is_set_aside=aside,
            overhang_mm=float(stacks.over[item, behind]),
        )
        stops |= 1 << stacks.stop_of[item]
        steps |= 1 << stacks.step_of[item]
        behind = item
