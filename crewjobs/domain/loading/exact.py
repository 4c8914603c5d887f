"""The cheapest plan, by dynamic programming over subsets: 2^n n^2 steps, for up to 16 pieces."""

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.loading.stacks import Array, Stacks

Whole = NDArray[np.int64]
MOST_ITEMS = 16


def cheapest(stacks: Stacks) -> tuple[list[int], list[int]]:
    """Both stacks of the cheapest plan.

    References
    ----------
    Held and Karp 1962: the cheapest stack of a set with a given outermost piece needs only those of
    the set without it. What taking off costs depends on which stops stand behind, not on their
    order; what the sides cost depends on the split alone.
    """
    count = len(stacks.items)
    costs, before = _stacks_of_every_set(stacks)
    best = costs.min(axis=1)
    best[0] = 0.0
    sets = np.arange(1 << count)
    is_left = ((sets[:, None] >> np.arange(count)) & 1).astype(float)
    chosen = int(np.argmin(best + best[::-1] + stacks.sides_min(is_left)))
    rest = (1 << count) - 1 - chosen
    return _unwound(chosen, costs, before), _unwound(rest, costs, before)


def ordered(stacks: Stacks, side: list[int]) -> list[int]:
    """The cheapest order of one side."""
    part = Stacks([stacks.items[item] for item in side], stacks.frame, stacks.costs)
    costs, before = _stacks_of_every_set(part)
    return [side[item] for item in _unwound((1 << len(side)) - 1, costs, before)]


def _stacks_of_every_set(stacks: Stacks) -> tuple[Array, Whole]:
    """For each set and outermost piece the least cost, and the piece behind it."""
    count = len(stacks.items)
    sets = np.arange(1 << count)
    costs = np.full((1 << count, count), np.inf)
    before = np.full((1 << count, count), -1)
    sizes = np.bitwise_count(sets)
    stops, steps = (_bits(sets, ranks) for ranks in (stacks.stop_of, stacks.step_of))
    for size in range(count):
        layer = sets[sizes == size]
        for item in range(count):
            behind = layer[(layer >> item) & 1 == 0]
            grown = behind | (1 << item)
            if size:
                options = costs[behind] + stacks.lean[item, :count]
                before[grown, item] = options.argmin(axis=1)
                least = options.min(axis=1)
            else:
                least = stacks.lean[item, count]
            costs[grown, item] = least + _handling_min(stacks, item, stops[behind], steps[behind])
    return costs, before


def _bits(sets: Whole, ranks: list[int]) -> Whole:
    """For each set the ranks of its members, as bits."""
    found = np.zeros_like(sets)
    for item, rank in enumerate(ranks):
        found |= ((sets >> item) & 1) << rank
    return found


def _handling_min(stacks: Stacks, item: int, stops: Whole, steps: Whole) -> Array:
    again = np.bitwise_count(stops & ((1 << stacks.stop_of[item]) - 1))
    sooner = (1 << stacks.step_of[item]) - (1 << stacks.first_step_of[item])
    aside = (steps & sooner) != 0
    cost: Array = again * stacks.rehandle[item] + aside * stacks.costs.set_aside_min
    return cost


def _unwound(members: int, costs: Array, before: Whole) -> list[int]:
    found: list[int] = []
    item = int(costs[members].argmin())
    while members:
        found.append(item)
        item, members = int(before[members, item]), members & ~(1 << item)
    return found[::-1]
