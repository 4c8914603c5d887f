"""Work handed from crew to crew, so that all work about as much of their shifts.

Two crews exchange what they do on two days, or one takes a visit over from another, whenever that
makes the plan cheaper in all, what unevenness costs included. Each step is small and is reckoned
whole, so none leads too far.
"""

from collections.abc import Iterator
from itertools import combinations, product

from crewjobs.domain.scheduling import evaluate, fairness, links
from crewjobs.domain.scheduling.board import Board, Draft

MOST_ROUNDS = 20
"""Rounds over all steps; usually a few find everything."""

Orders = dict[int, tuple[int, ...]]


def evened(board: Board, draft: Draft) -> Draft:
    """The draft after every step that pays; the same draft if none does."""
    hand = _Hand(board, draft)
    for _ in range(MOST_ROUNDS):
        steps = (hand.tried(orders) for orders in hand.steps())
        if not sum(steps):
            break
    return {k: order for k, order in hand.orders.items() if order}


class _Hand:
    """A draft on its way, with what it costs."""

    def __init__(self, board: Board, draft: Draft) -> None:
        self.board = board
        self.orders: Orders = dict(draft)
        self._work = fairness.work_min(board, draft)
        self._uneven_cost = fairness.cost(board, self._work)
        self._known: dict[tuple[int, tuple[int, ...]], int | None] = {}
        still = {k for k, order in draft.items() if any(links.is_linked(board, i) for i in order)}
        self._crew_days = [k for k in range(len(board.crew_days)) if k not in still]

    def steps(self) -> Iterator[Orders]:
        """Crew-days with other visits: exchanged whole, single visits taken over, then swapped."""
        for first, second in combinations(self._crew_days, 2):
            one, other = self.orders.get(first, ()), self.orders.get(second, ())
            if one != other and self._may_change_day(first, second, one + other):
                yield {first: other, second: one}
        for k in self._crew_days:
            for visit in self.orders.get(k, ()):
                yield from self._taken_over(visit, k)
        for first, second in combinations(self._crew_days, 2):
            if self.board.crew_days[first].crew != self.board.crew_days[second].crew:
                yield from self._swapped(first, second)

    def _swapped(self, first: int, second: int) -> Iterator[Orders]:
        """One visit of each crew-day in the place of the other."""
        for one, other in product(self.orders.get(first, ()), self.orders.get(second, ())):
            pair = (self.orders.get(first, ()), self.orders.get(second, ()))
            is_there = one in pair[0] and other in pair[1]
            fits = evaluate.fits(self.board, one, second) and evaluate.fits(
                self.board, other, first
            )
            if is_there and fits and self._may_change_day(first, second, (one, other)):
                yield {
                    first: tuple(other if i == one else i for i in pair[0]),
                    second: tuple(one if i == other else i for i in pair[1]),
                }

    def _taken_over(self, visit: int, by: int) -> Iterator[Orders]:
        crew = self.board.crew_days[by].crew
        for k in self._crew_days:
            fits = self.board.crew_days[k].crew != crew and evaluate.fits(self.board, visit, k)
            if fits and self._may_change_day(by, k, (visit,)):
                order = self.orders.get(k, ())
                left = tuple(i for i in self.orders.get(by, ()) if i != visit)
                for at in range(len(order) + 1):
                    yield {by: left, k: (*order[:at], visit, *order[at:])}
                if visit not in self.orders.get(by, ()):
                    return

    def _may_change_day(self, first: int, second: int, visits: tuple[int, ...]) -> bool:
        """Whether no visit comes after or before another, if the days are different ones."""
        ordered = self.board.predecessor.keys() | self.board.successors.keys()
        return self.board.day[first] == self.board.day[second] or ordered.isdisjoint(visits)

    def tried(self, orders: Orders) -> bool:
        """Whether these orders pay; then they are taken."""
        then = [self._cost(k, order) for k, order in orders.items()]
        if None in then:
            return False
        now = sum(self._cost(k, self.orders.get(k, ())) or 0 for k in orders)
        work = self._work_with(orders)
        uneven_cost = fairness.cost(self.board, work)
        if sum(filter(None, then)) + uneven_cost >= now + self._uneven_cost:
            return False
        self.orders |= orders
        self._work, self._uneven_cost = work, uneven_cost
        return True

    def _work_with(self, orders: Orders) -> dict[str, int]:
        work = dict(self._work)
        for k, order in orders.items():
            more = self._minutes(order) - self._minutes(self.orders.get(k, ()))
            work[self.board.crew_days[k].crew] += more
        return work

    def _minutes(self, order: tuple[int, ...]) -> int:
        return sum(self.board.visits[i].duration_min for i in order)

    def _cost(self, crew_day: int, order: tuple[int, ...]) -> int | None:
        key = crew_day, order
        if key not in self._known:
            self._known[key] = evaluate.route_cost(self.board, crew_day, order)
        return self._known[key]
