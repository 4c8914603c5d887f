"""A shorter order of work than lists find: a search of our own, and an exact solver if installed.

Both count what they do instead of looking at a clock, so the same network, seed and effort give
the same order. Neither ever answers with a longer one than list scheduling.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from crewjobs.domain.hours import order_proof
from crewjobs.domain.hours.network import (
    AS_STANDARD,
    Network,
    Packed,
    Timeline,
    orders,
    shortest,
    tails,
)

CROWD = 30
"""Orders that are kept side by side. Not measured against other numbers."""
SWAP_SHARE = 0.05
"""How likely two neighbours in a new order change places. Not measured."""
UNITS = 600
"""Durations that are no whole numbers are rounded to this part of their sum."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Effort:
    """How hard to look. The usual one takes about a second for 60 tasks."""

    orders: int = 800
    """Orders that are tried, each worked forwards, backwards and forwards again."""
    proof_s: float = 0.3
    """Deterministic seconds of the exact solver before and after, where it is installed."""


def shortest_found(
    network: Network,
    factors: Mapping[str, float] = AS_STANDARD,
    *,
    seed: int = 0,
    effort: Effort | None = None,
) -> Timeline:
    """The shortest timeline that is found; never longer than the one of list scheduling.

    References
    ----------
    Two-point crossover of orders: Hartmann, Naval Research Logistics 45, 1998, 733-750. Double
    justification: Valls, Ballestin and Quintanilla, European Journal of Operational Research 165,
    2005, 375-386.

    Examples
    --------
    >>> from crewjobs.domain.hours.network import Task, schedule
    >>> tasks = [Task(name=n, demand=(d,), minutes={"w": m}) for n, d, m in
    ...          [("a", 1, 3), ("b", 1, 3), ("c", 2, 2), ("d", 1, 4), ("e", 1, 2)]]
    >>> shortest_found(Network(tasks=tuple(tasks), capacity=(2,))).makespan_min
    8.0
    """
    effort = effort or Effort()
    true_min = network.durations_min(factors)
    whole = _whole(true_min)
    listed = orders(network, (true_min,))
    if not network.tasks:
        return shortest(network, listed, true_min)
    proof = order_proof.proven(network, whole, listed[0], most_s=effort.proof_s)
    tried = [*listed, proof.order]
    if not proof.is_shortest:
        tried.append(_Search(network, whole, seed).run(tried, effort.orders))
    return shortest(network, tried, true_min)


def _whole(durations_min: Sequence[float]) -> list[int]:
    """Durations as small whole numbers, exactly where they are."""
    if all(each == round(each) for each in durations_min) and sum(durations_min) <= 2 * UNITS:
        return [round(each) for each in durations_min]
    unit_min = sum(durations_min) / UNITS
    return [max(1, round(each / unit_min)) if each else 0 for each in durations_min]


class _Search:
    """Orders that are crossed, worked off in both directions, and kept if they end early."""

    def __init__(self, network: Network, durations: Sequence[int], seed: int) -> None:
        self.after = [task.after for task in network.tasks]
        self.before = network.before
        self.durations = durations
        self.packed = Packed.of(network)
        self.tails = tails(network, durations)
        self.least = max(self.tails, default=0)
        """No order can be shorter than the longest chain."""
        self.rng = random.Random(seed)  # noqa: S311  # chance for a search, no secret
        self.crowd: list[tuple[int, list[int]]] = []

    def run(self, known: Sequence[Sequence[int]], rounds: int) -> tuple[int, ...]:
        """The order that ends first, of those known and as many new ones."""
        self.crowd = [self._worked(order) for order in known]
        for _ in range(rounds):
            if min(self.crowd)[0] <= self.least:
                break
            if len(self.crowd) < CROWD:
                self.crowd.append(self._worked(self._drawn()))
            else:
                self._replace_last(self._worked(self._crossed()))
        return tuple(min(self.crowd)[1])

    def _replace_last(self, new: tuple[int, list[int]]) -> None:
        last = max(range(len(self.crowd)), key=lambda n: self.crowd[n][0])
        if new[0] <= self.crowd[last][0] and new not in self.crowd:
            self.crowd[last] = new

    def _worked(self, order: Sequence[int]) -> tuple[int, list[int]]:
        """The end of an order that was pushed to the back and to the front again, and the order."""
        ends = self._ends(order, self.after)
        for links in (self.before, self.after):
            ends = self._ends(_in_line(_latest_first(ends, self.durations), links), links)
        starts = [end - spent for end, spent in zip(ends, self.durations, strict=True)]
        by_start = sorted(range(len(ends)), key=lambda at: (starts[at], ends[at]))
        return max(ends, default=0), _in_line(by_start, self.after)

    def _ends(self, order: Sequence[int], links: Sequence[Sequence[int]]) -> list[int]:
        """When each task ends if, in this order, each begins as early as it can."""
        guard, free, demands = self.packed
        room = [free] * (sum(self.durations) + 1)
        ends = [0] * len(order)
        for at in order:
            start = max((ends[earlier] for earlier in links[at]), default=0)
            spent, asked = self.durations[at], demands[at]
            probe = start
            while asked and probe < start + spent:
                if (room[probe] - asked) & guard != guard:
                    start = probe + 1
                probe += 1
            ends[at] = start + spent
            for probe in range(start, ends[at] if asked else start):
                room[probe] -= asked
        return ends

    def _drawn(self) -> list[int]:
        """A new order by chance, long tails sooner."""
        waits = [len(places) for places in self.after]
        ready = [at for at, count in enumerate(waits) if not count]
        order = []
        while ready:
            least = min(self.tails[at] for at in ready)
            weights = [(1 + self.tails[at] - least) ** 2 for at in ready]
            at = self.rng.choices(ready, weights)[0]
            ready.remove(at)
            order.append(at)
            for later in self.before[at]:
                waits[later] -= 1
                if not waits[later]:
                    ready.append(later)
        return order

    def _crossed(self) -> list[int]:
        """Of two good orders: the middle as the second has it, all else as the first."""
        first, second = (min(self.rng.sample(self.crowd, 2))[1] for _ in range(2))
        if first == second:
            second = self._drawn()
        low = self.rng.randrange(len(first) + 1)
        high = self.rng.randint(low, len(first))
        head = first[:low]
        taken = set(head)
        middle = [at for at in second if at not in taken][: high - low]
        taken.update(middle)
        order = [*head, *middle, *(at for at in first if at not in taken)]
        for n in range(len(order) - 1):
            one, two = order[n : n + 2]
            if self.rng.random() < SWAP_SHARE and one not in self.after[two]:
                order[n : n + 2] = two, one
        return order


def _latest_first(ends: Sequence[int], durations: Sequence[int]) -> list[int]:
    return sorted(range(len(ends)), key=lambda at: (-ends[at], durations[at] - ends[at]))


def _in_line(order: Sequence[int], links: Sequence[Sequence[int]]) -> list[int]:
    """The order, with a task that takes no time moved behind those it waits for."""
    seen: set[int] = set()
    line: list[int] = []
    waiting = list(order)
    while waiting:
        held = []
        for at in waiting:
            if seen.issuperset(links[at]):
                seen.add(at)
                line.append(at)
            else:
                held.append(at)
        waiting = held
    return line
