"""A good plan for many pieces, by simulated annealing; the same seed gives the same plan."""

from math import exp
from random import Random

from crewjobs.domain.loading.stacks import Stacks

Sides = tuple[list[int], list[int]]
HOT_MIN, COLD_MIN = 8.0, 0.05
"""Temperatures in minutes, from trials."""
STARTS = 6


def search(stacks: Stacks, *, seed: int, iterations: int, known: Sides | None = None) -> Sides:
    """The best plan found in so many iterations, from a few starts and a known one."""
    rng = Random(seed)  # noqa: S311 - chance for a search, no secret
    starts = [*(_start(stacks, number) for number in range(STARTS)), *([known] if known else [])]
    runs = [_run(stacks, rng, start, iterations // STARTS) for start in starts]
    return min(runs, key=lambda sides: stacks.total_min(*sides))


def _start(stacks: Stacks, number: int) -> Sides:
    """Last stop or largest innermost, each to the lighter side."""
    items = stacks.items

    def key(item: int) -> tuple[float, ...]:
        size = items[item].length_mm * items[item].height_mm
        return (-size,) if number % 2 else (-stacks.step_of[item], -size)

    sides: Sides = ([], [])
    loads = [0.0, 0.0]
    for item in sorted(range(len(items)), key=key):
        lighter = 0 if loads[0] <= loads[1] else 1
        sides[lighter].append(item)
        loads[lighter] += stacks.mass[item]
    return sides


def _run(stacks: Stacks, rng: Random, start: Sides, iterations: int) -> Sides:
    here = start
    cost = best_cost = _cost_min(stacks, here)
    best = here
    for step in range(iterations):
        heat = HOT_MIN * (COLD_MIN / HOT_MIN) ** (step / iterations)
        there = _moved(here, rng)
        new_cost = _cost_min(stacks, there)
        if new_cost <= cost or rng.random() < exp((cost - new_cost) / heat):
            here, cost = there, new_cost
            if cost < best_cost:
                best, best_cost = here, cost
    return best


def _cost_min(stacks: Stacks, sides: Sides) -> float:
    return stacks.total_min(*sides)


def _moved(sides: Sides, rng: Random) -> Sides:
    """One piece put elsewhere, or two of different sides exchanged."""
    left, right = list(sides[0]), list(sides[1])
    both = (left, right)
    origin, target = rng.choice(both), rng.choice(both)
    if not origin:
        return left, right
    place = rng.randrange(len(origin))
    if origin is not target and target and rng.random() < 0.5:
        other = rng.randrange(len(target))
        origin[place], target[other] = target[other], origin[place]
        return left, right
    item = origin.pop(place)
    target.insert(rng.randrange(len(target) + 1), item)
    return left, right
