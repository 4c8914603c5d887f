"""What no plan can be cheaper than, by column generation; and the routes that good plans are of.

The relaxation lets a crew-day be a mixture of routes. Its linear program knows some of them; its
prices of visits are what each visit is worth, and pricing finds the routes that would pay. Whatever
the prices, the worth of all visits less what the crew-days could gain by them is a lower bound.
The prices are held near those of the best bound, and at first below what is reckoned from how full
the crews are; a few routes alone would have them run wild.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import evaluate, pricing
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.columns import Lister
from crewjobs.domain.scheduling.master import Answer, Program

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Entries = tuple[Ints, Ints, Floats]
"""Columns of a program, compressed: where each starts, its rows, their values."""

BAND = 300.0
"""How far above the best route of a crew-day others are taken up. Not measured closely."""

TAKEN_UP = 40
"""Routes of a crew-day that are taken up in one round. Not measured closely."""

FEW_FOLLOWED = 300
"""Partial routes followed in a quick round."""

MORE_FACTOR = 6
"""How many times more are followed once quick rounds bring nothing more. Not measured closely."""

HELD_SHARE = 0.5
"""How far the prices are held where the best bound was. Measured: 0.8 takes longer."""

DRIVE_MIN = 26.0
"""What a visit asks in drives, about; only the first prices hang on it."""

CAP_FACTOR = 1.5
"""By how much a cap is raised when a price is stopped by it. Not measured closely."""

RIPE_SHARE = 0.15
"""How far the bound may be off, and how many prices capped, for a first plan of the routes. Not
measured closely."""

CLOSE_SHARE = 0.0025
"""A bound so near to the relaxation's own cost is not worth another round."""


class Rows:
    """The rows of the relaxation: visits, crew-days, and for each order of two visits the days.

    Up to every day, no more of the later visit than of the earlier one with its lead.
    """

    def __init__(self, board: Board) -> None:
        self.visits, self.crew_days = len(board.visits), len(board.crew_days)
        days = sorted(set(board.day))
        orders = [(*each, day) for each in _orders(board) for day in days]
        self.count = self.visits + self.crew_days + len(orders)
        self.terms: list[dict[int, list[tuple[int, float]]]] = [{} for _ in board.crew_days]
        for row, (before, later, lead, until) in enumerate(
            orders, start=self.visits + self.crew_days
        ):
            for k, day in enumerate(board.day):
                if day <= until:
                    self.terms[k].setdefault(later, []).append((row, 1.0))
                if day <= until - lead:
                    self.terms[k].setdefault(before, []).append((row, -1.0))

    def program(self) -> Program:
        """A linear program without columns: each visit at least once, each crew-day at most."""
        free = np.full(self.count - self.visits, -np.inf)
        most = np.zeros(self.count)
        most[: self.visits], most[self.visits : self.visits + self.crew_days] = np.inf, 1.0
        return Program(np.concatenate([np.ones(self.visits), free]), most)

    def entries(self, routes: Sequence[tuple[int, tuple[int, ...]]]) -> Entries:
        """The columns of routes, each a crew-day and its visits."""
        columns = [self._column(k, order) for k, order in routes]
        return (
            np.cumsum([0, *(len(column) for column in columns)]),
            np.array([row for column in columns for row in column], np.int64),
            np.array([value for column in columns for value in column.values()], np.float64),
        )

    def _column(self, crew_day: int, order: tuple[int, ...]) -> dict[int, float]:
        column = {**dict.fromkeys(order, 1.0), self.visits + crew_day: 1.0}
        terms = self.terms[crew_day]
        for visit in order if terms else ():
            for row, value in terms.get(visit, ()):
                column[row] = column.get(row, 0.0) + value
        return {row: value for row, value in column.items() if value}

    def worth(self, dual: Floats, crew_day: int) -> Floats:
        """What each visit is worth on a crew-day."""
        worth = dual[: self.visits]
        if self.terms[crew_day]:
            worth = worth.copy()
            for visit, terms in self.terms[crew_day].items():
                worth[visit] += sum(dual[row] * value for row, value in terms)
        return worth


def _orders(board: Board) -> Iterator[tuple[int, int, int]]:
    for later, (before, lead) in sorted(board.predecessor.items()):
        yield before, later, lead


class Relaxation:
    """The linear program, its columns, and the best bound so far."""

    def __init__(self, board: Board, lister: Lister, crew_days: Iterable[int]) -> None:
        self.board, self.lister, self.crew_days = board, lister, list(crew_days)
        self.rows = Rows(board)
        self.program = self.rows.program()
        self.price = np.array(board.price, np.float64)
        self.routes: list[tuple[int, tuple[int, ...]]] = []
        """Crew-day and visits of each column, after those that leave out one visit each."""
        self.best = -np.inf if board.visits else 0.0
        self.is_ripe = False
        """Whether plans can be made of the routes taken up so far."""
        self.is_settled = False
        """Whether quick rounds bring nothing more."""
        self.is_tight = not board.visits
        """Whether more rounds would not raise the bound by much."""
        self.answer: Answer | None = None
        self.dual = np.zeros(self.rows.count)
        self.floor = np.zeros(len(board.crew_days))
        """What no route of a crew-day costs less than, net, by the prices of the best bound."""
        self._followed = FEW_FOLLOWED
        self._known = set[tuple[int, ...]]()
        self._cap = self._first_caps()
        count = self.rows.visits
        self.program.add(self._cap.copy(), np.arange(count + 1), np.arange(count), np.ones(count))

    @property
    def lower_bound(self) -> int:
        """What no plan can be cheaper than; costs are whole numbers."""
        return ceil(self.best - 1e-3) if np.isfinite(self.best) else 0

    def take_up(self, draft: Draft) -> None:
        """The routes of a draft as columns."""
        found = [
            (k, order, evaluate.route_cost(self.board, k, order)) for k, order in draft.items()
        ]
        self._add([(k, order, cost) for k, order, cost in found if cost is not None])

    def solve(self) -> Answer:
        """The program solved again.

        Raises
        ------
        ArithmeticError
            If the solver fails: the program always has a solution.
        """
        self.answer = self.program.solved()
        if self.answer is None:
            raise ArithmeticError("the linear program was not solved")
        return self.answer

    def rounds(self) -> Iterator[bool]:
        """Price until the bound is tight: True after each round, False within one."""
        new = len(self.crew_days)
        while not self.is_tight:
            answer = self.solve()
            capped = self._capped(answer.dual)
            is_held = np.isfinite(self.best) and new > 0 and not self.is_settled
            dual = self._clipped(answer.dual)
            if is_held:
                dual = HELD_SHARE * self.dual + (1 - HELD_SHARE) * dual
            total, new, floors = float(dual[: self.rows.visits].sum()), 0, self.floor.copy()
            for k in self.crew_days:
                floors[k], added = self._priced(k, dual)
                total, new = total + min(0.0, floors[k]), new + added
                yield False
            if total > self.best:
                self.best, self.dual, self.floor = total, dual, floors
            gap_cost = answer.cost - self.best
            is_uncapped = len(capped) <= RIPE_SHARE * self.rows.visits
            self.is_ripe = self.is_ripe or (is_uncapped and gap_cost < RIPE_SHARE * answer.cost)
            is_close = gap_cost < CLOSE_SHARE * answer.cost
            if len(capped):
                self._raise_caps(capped)
            else:
                is_last = self._followed == pricing.MOST_FOLLOWED
                self.is_tight = is_close or (self.is_settled and not new and is_last)
                if self.is_settled and new < len(self.crew_days):
                    self._followed = min(pricing.MOST_FOLLOWED, MORE_FACTOR * self._followed)
                self.is_settled = self.is_settled or is_close or new < len(self.crew_days)
            yield True

    def _priced(self, crew_day: int, dual: Floats) -> tuple[float, int]:
        """What no route of the crew-day is below, net, and how many new ones were taken up."""
        worth = self.rows.worth(dual, crew_day)
        below = min(0.0, float(dual[self.rows.visits + crew_day]))
        found = self._found(crew_day, worth, (below, BAND), FEW_FOLLOWED)
        least = float(found.net.min(initial=below))
        if self._followed > FEW_FOLLOWED and found.floor_cost < least - 1e-6:
            limits = (min(least + BAND, 0.0), BAND)
            found = self._found(crew_day, worth, limits, self._followed)
        rows = np.argsort(found.net, kind="stable")[:TAKEN_UP]
        orders = [tuple(i for i in order if i >= 0) for order in found.routes.order[rows].tolist()]
        costs = found.routes.cost[rows].tolist()
        routes = [(crew_day, order, cost) for order, cost in zip(orders, costs, strict=True)]
        return found.floor_cost, self._add(routes)

    def _found(
        self, crew_day: int, worth: Floats, limits: tuple[float, float], most: int
    ) -> pricing.Priced:
        return pricing.priced(self.lister, self.board, crew_day, worth, limits, most=most)

    def _add(self, routes: Sequence[tuple[int, tuple[int, ...], int]]) -> int:
        """How many of the routes are new; those become columns."""
        new = []
        for k, order, cost in routes:
            key = (k, *sorted(order))
            if key not in self._known:
                self._known.add(key)
                new.append((k, order, cost))
        if new:
            pairs = [(k, order) for k, order, _ in new]
            self.program.add(np.array([cost for *_, cost in new], float), *self.rows.entries(pairs))
            self.routes += pairs
        return len(new)

    def _clipped(self, dual: Floats) -> Floats:
        """The prices without what rounding would do to the bound."""
        count, clipped = self.rows.visits, np.minimum(dual, 0.0)
        clipped[:count] = np.clip(dual[:count], 0.0, self.price)
        return clipped

    def _first_caps(self) -> Floats:
        """Above this no visit's price may go at first: by what a minute of the crews is worth."""
        board = self.board
        length = DRIVE_MIN + np.array([visit.duration_min for visit in board.visits], float)
        rows = np.argsort(-self.price / length, kind="stable")
        room = sum(board.latest_end[k] - board.shift_start[k] for k in self.crew_days)
        beyond = np.nonzero(np.cumsum(length[rows]) > room)[0]
        dearest = self.price[rows[beyond[0]]] / length[rows[beyond[0]]] if len(beyond) else 0.0
        caps: Floats = np.minimum(self.price, 1.3 * dearest * length + 1500.0)
        return caps

    def _capped(self, dual: Floats) -> Ints:
        """The visits whose price would go higher if it might."""
        prices = dual[: self.rows.visits]
        return np.nonzero((prices > self._cap - 1.0) & (self._cap < self.price))[0]

    def _raise_caps(self, visits: Ints) -> None:
        self._cap[visits] = np.minimum(self.price[visits], CAP_FACTOR * self._cap[visits])
        for i in visits.tolist():
            self.program.reprice(i, float(self._cap[i]))
