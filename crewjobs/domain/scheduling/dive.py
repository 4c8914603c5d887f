"""A plan out of the relaxation: route after route is taken for good, the rest mixed anew.

What the relaxation takes whole, or nearly, is fixed first; then the route it takes most of. The
program may cover a visit twice; it then stays where leaving it would save less.
"""

import random
from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from crewjobs.domain.scheduling import build, evaluate
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.bound import Relaxation

NEARLY_SHARE = 0.9
"""Of a route; so much of it counts as the whole. Not measured closely."""

TINY = 1e-6


class Dive:
    """One way down; `draft` is there when `steps` are through."""

    def __init__(self, relaxed: Relaxation, rng: random.Random, shaken_share: float) -> None:
        self.draft: Draft = {}
        self._relaxed, self._rng, self._shaken_share = relaxed, rng, shaken_share
        self._taken: dict[int, int] = {}
        """The column of each crew-day that has one."""

    def steps(self) -> Iterator[None]:
        """Go down; the relaxation is left as it was, even by who stops half-way."""
        program, first = self._relaxed.program, self._relaxed.rows.visits
        try:
            while chosen := self._chosen():
                for column in chosen:
                    self._taken.setdefault(self._relaxed.routes[column][0], column)
                for column in self._taken.values():
                    program.take(first + column)
                yield
        finally:
            for column in self._taken.values():
                program.let_go(first + column)
        routes = (self._relaxed.routes[column] for column in self._taken.values())
        self.draft = mended(self._relaxed.board, dict(routes))

    def _chosen(self) -> list[int]:
        """The next columns to be taken, none of a crew-day that has one."""
        share = self._relaxed.solve().value[self._relaxed.rows.visits :]
        free = [
            column
            for column in np.nonzero(share > TINY)[0].tolist()
            if self._relaxed.routes[column][0] not in self._taken
        ]
        whole = [column for column in free if share[column] > NEARLY_SHARE]
        parts = [column for column in free if share[column] <= NEARLY_SHARE]
        if parts:
            whole.append(max(parts, key=lambda column: self._chance_share(float(share[column]))))
        return whole

    def _chance_share(self, share: float) -> float:
        return share * (1 + self._shaken_share * self._rng.random())


def mended(board: Board, draft: Draft) -> Draft:
    """The draft with each visit at most once and in its order, and what still finds a place."""
    orders, where = dict(sorted(draft.items())), defaultdict(list)
    for k, order in orders.items():
        for visit in order:
            where[visit].append(k)
    for visit, crew_days in where.items():
        while len(crew_days) > 1:
            k = max(crew_days, key=lambda k: _saved(board, k, orders[k], visit))
            orders[k] = _without(orders[k], visit)
            crew_days.remove(k)
    return build.inserted(board, build.of_orders(board, orders))


def _without(order: tuple[int, ...], visit: int) -> tuple[int, ...]:
    return tuple(each for each in order if each != visit)


def _saved(board: Board, crew_day: int, order: tuple[int, ...], visit: int) -> int:
    """What leaving out a visit saves; without it the crew-day is sure to hold."""
    cost = evaluate.route_cost(board, crew_day, order) or 0
    return cost - (evaluate.route_cost(board, crew_day, _without(order, visit)) or 0)
