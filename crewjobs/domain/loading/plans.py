"""The plan of a truck's day as people read it: who stands where, and what is wrong with it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from crewjobs.domain.loading import annealing, exact
from crewjobs.domain.loading.frames import Costs, Frame, Item
from crewjobs.domain.loading.stacks import Stack, Stacks

ITERATIONS = 60_000
"""Of the search beyond 16 pieces: a few seconds."""


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
    problems: tuple[str, ...]
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
    stacks = Stacks(items, frame or Frame(), costs or Costs())
    is_exact = len(items) <= exact.MOST_ITEMS
    left, right = _loaded(stacks, is_exact, seed, iterations) if items else ([], [])
    apart = [
        float(sum(on_board[left]) - sum(on_board[right])) if items else 0.0
        for on_board in stacks.on_board
    ]
    thick = tuple(sum(stacks.thick[item] for item in side) for side in (left, right))
    return LoadPlan(
        left=tuple(_places(stacks, left)),
        right=tuple(_places(stacks, right)),
        cost_min=stacks.total_min(left, right) if items else 0.0,
        imbalance_kg=tuple(apart),
        thickness_mm=(thick[0], thick[1]),
        problems=tuple(_problems(stacks, left, right, apart)),
        is_exact=is_exact,
    )


def _loaded(
    stacks: Stacks, is_exact: bool, seed: int, iterations: int
) -> tuple[list[int], list[int]]:
    if is_exact:
        return exact.cheapest(stacks)
    left, right = annealing.search(stacks, seed=seed, iterations=iterations)
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


def _problems(stacks: Stacks, left: Stack, right: Stack, apart: Sequence[float]) -> Iterator[str]:
    frame = stacks.frame
    yield from _above("the load", sum(stacks.mass), frame.payload_kg, "kg")
    for each in stacks.items:
        yield from _above(f"{each.name} is long", each.length_mm, frame.length_mm, "mm")
        yield from _above(f"{each.name} is high", each.height_mm, frame.height_mm, "mm")
    for name, side in (("left", left), ("right", right)):
        thick = sum(stacks.thick[item] for item in side)
        heavy = sum(stacks.mass[item] for item in side)
        yield from _above(f"the {name} stack is thick", thick, frame.depth_mm, "mm")
        yield from _above(f"the {name} side bears", heavy, frame.side_kg, "kg")
        for behind, item in zip([len(stacks.items), *side], side, strict=False):
            name = stacks.items[item].name
            over = float(stacks.over[item, behind])
            yield from _above(f"{name} overhangs", over, frame.most_overhang_mm, "mm")
    for stage, difference in enumerate(apart):
        when = "on departure" if stage == 0 else f"after stop {stage}"
        said = f"the sides differ {when} by"
        yield from _above(said, abs(difference), frame.most_imbalance_kg, "kg")


def _above(said: str, value: float, limit: float, unit: str) -> Iterator[str]:
    if value > limit + 1e-6:
        yield f"{said} {value:.0f} {unit}, the most is {limit:.0f}"
