"""The routes of a crew-day that are worth their visits: what they cost less what those are worth.

A started route is followed only while it can still end below a limit. What is still to come is
bounded from below in two ways, each of which allows more than a crew can do: the best way home
from here with visits repeated (by minute and last visit), and the best filling of the minutes left
with parts of visits (a fractional knapsack).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.columns import (
    Candidates,
    Lister,
    Routes,
    Sieve,
    first_starts,
)

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

STEP_MIN = 5
"""Minutes are looked up so many at a time, the earliest of them for all."""

MOST_FOLLOWED = 50_000
"""The most routes carried from a layer to the next."""

NOWHERE = 1e12
"""What a way costs that leads nowhere."""


@dataclass(frozen=True, slots=True)
class Priced:
    """Routes with their cost net of what their visits are worth, and what no other one beats."""

    routes: Routes
    net: Floats
    floor_cost: float
    """No route of the crew-day is below this, listed or not."""
    is_whole: bool
    """Whether no route between the limits was let go for want of room."""


def priced(
    lister: Lister,
    board: Board,
    crew_day: int,
    worth: Floats,
    limits: tuple[float, float],
    *,
    most: int = MOST_FOLLOWED,
) -> Priced:
    """The routes whose cost net of the worth of their visits is low.

    It must lie below the first of the limits, and not further above the best one than the second.
    Of the partial routes at most so many are followed, which the floor allows for. A visit that is
    worth less than it costs on its own is left out: no route is better for it.
    """
    every = replace(lister.candidates(crew_day), worth=worth[lister.candidates(crew_day).number])
    rows = np.nonzero(every.worth > every.cost)[0]
    sieve = Worthwhile(board, crew_day, every.at(rows), limits)
    sieve.most = most
    routes = lister.sieved(crew_day, sieve.candidates, sieve)
    net = routes.cost - np.where(routes.order >= 0, worth[routes.order], 0).sum(axis=1)
    kept = np.nonzero(net < sieve.below_cost)[0]
    floor = min(sieve.lost, sieve.below_cost, float(net.min(initial=np.inf)))
    found = Routes(routes.cost[kept], routes.order[kept])
    return Priced(found, net[kept], floor, sieve.lost >= sieve.below_cost)


class Worthwhile(Sieve):
    """Lets through the routes that can still end below a limit."""

    def __init__(
        self, board: Board, crew_day: int, candidates: Candidates, limits: tuple[float, float]
    ) -> None:
        super().__init__(MOST_FOLLOWED, below_cost=limits[0], band_cost=limits[1])
        self.board, self.crew_day, self.candidates = board, crew_day, candidates
        self._home = self._homeward()
        self._filling = self._fillings()

    def hopes(self, net: Floats, now: Ints, last: Ints) -> Floats:
        """The least that each started route can come to, the crew-day itself with it."""
        minute = now - self.board.shift_start[self.crew_day]
        filling = self._filling[np.maximum(0, len(self._filling) - 2 - minute)]
        least: Floats = np.maximum(self._home[minute // STEP_MIN, last], filling) + net
        return least + self.board.costs.crew_day

    def _fillings(self) -> Floats:
        """The least net cost of visits in so many minutes, parts of visits allowed."""
        board, c = self.board, self.candidates
        minutes = max(0, board.latest_end[self.crew_day] - board.shift_start[self.crew_day])
        way = np.minimum(c.out, _off_diagonal(c.between).min(axis=0, initial=NO_DRIVE))
        gain = c.worth - c.cost - board.costs.drive * way
        length = c.duration + (way if board.problem.traffic.is_even else 0)
        rows = np.nonzero(gain > 0)[0]
        rows = rows[np.argsort(-gain[rows] / np.maximum(length[rows], 1), kind="stable")]
        filled = np.concatenate([[0], np.cumsum(np.maximum(length[rows], 1e-6))])
        gained = np.concatenate([[0], np.cumsum(gain[rows])])
        home = float(board.costs.drive * c.back.min(initial=NO_DRIVE))
        most: Floats = np.interp(np.arange(minutes + 2) + 1, filled, gained)
        return home - most

    def _homeward(self) -> Floats:
        """The least net cost from each step and last visit on, home included, repeats allowed."""
        board, c, start = self.board, self.candidates, self.board.shift_start[self.crew_day]
        steps = max(0, board.latest_end[self.crew_day] - start) // STEP_MIN + 1
        minutes = start + STEP_MIN * np.arange(steps)
        home = self._straight_home(minutes[:, None])
        stride = int(c.duration.min(initial=NO_DRIVE)) // STEP_MIN
        if not stride:
            return np.full(home.shape, -NOWHERE)
        reach = np.full((steps + 1, len(c.number)), NOWHERE)
        done, ways = self._done(minutes), _off_diagonal(c.between)
        every = np.arange(len(c.number))
        for last in range(steps, 0, -stride):
            now = np.arange(max(0, last - stride), last)
            ends = np.minimum(done[now], steps - 1)
            further = c.cost - c.worth + home[ends, every]
            reach[now] = np.where(done[now] < steps, further, NOWHERE)
            there = board.arrivals(self.crew_day, minutes[now][:, None, None], ways) - start
            onward = reach[np.minimum(there // STEP_MIN, steps), every]
            home[now] = np.minimum(
                home[now], (board.costs.drive * ways + onward).min(axis=2, initial=NOWHERE)
            )
        return home

    def _straight_home(self, minutes: Ints) -> Floats:
        """The cost of the way home for each minute and last visit."""
        board, c = self.board, self.candidates
        there = board.arrivals(self.crew_day, minutes, c.back)
        overtime = np.maximum(0, there - board.shift_end[self.crew_day])
        cost = board.costs.drive * c.back + board.costs.overtime * overtime
        return np.where(minutes <= c.leave, cost, NOWHERE).astype(float)

    def _done(self, minutes: Ints) -> Ints:
        """The step in which each visit ends for a crew there at each minute; late: NO_DRIVE."""
        c, start = self.candidates, self.board.shift_start[self.crew_day]
        visit, arrival = np.arange(len(c.number)), minutes[:, None]
        begins = first_starts(c, np.broadcast_to(visit, (len(minutes), len(visit))), arrival)
        ends = begins + c.duration
        return np.where(ends <= c.leave, (ends - start) // STEP_MIN, NO_DRIVE)


NO_DRIVE = 10**6


def _off_diagonal(between: Ints) -> Ints:
    return between + np.diag(np.full(len(between), NO_DRIVE))
