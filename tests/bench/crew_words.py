"""What a public solver of vehicle routing is told of a crew board, and how its answer is judged.

A solver's answer is only an order of visits for each crew-day: it is timed and priced like our own
plans, and the judge has the last word.
"""

import time
from collections import defaultdict
from collections.abc import Callable

import numpy as np

from crewjobs.domain.scheduling import Problem, Schedule, Stop, evaluate, explain
from crewjobs.domain.scheduling.board import Board, Draft

DAY_MIN = 2000
"""Between the origins of two days; longer than any."""


def plan_of(problem: Problem, draft: Draft) -> Schedule:
    """The orders as a plan. A crew-day that breaks a rule gives up its last visits."""
    board = Board(problem)
    kept = {k: _feasible(board, k, order) for k, order in draft.items()}
    kept = {k: order for k, order in kept.items() if order}
    return Schedule(
        placed=evaluate.placements(board, kept),
        unplaced=explain.unplaced(board, kept),
        cost=evaluate.breakdown(board, kept),
    )


def _feasible(board: Board, crew_day: int, order: tuple[int, ...]) -> tuple[int, ...]:
    while order and evaluate.route(board, crew_day, order) is None:
        order = order[:-1]
    return order


def cpu_clock(seconds: float) -> Callable[[], bool]:
    """Whether this process has used up so many seconds of processor time from now on."""
    until_s = time.process_time() + seconds
    return lambda: time.process_time() > until_s


def cpu_stop(seconds: float) -> Stop:
    """The same as a stop rule of ours."""
    is_over = cpu_clock(seconds)
    return lambda _: is_over()


class Told:
    """A board with every visit's windows, and one table of drives: depots first, then sites."""

    def __init__(self, problem: Problem) -> None:
        self.board = Board(problem)
        self.crew_days = range(len(self.board.crew_days))
        self.visits = range(len(self.board.visits))
        self.first_day = min(self.board.day)
        self.depots = sorted(set(self.board.depot))

    def depot(self, crew_day: int) -> int:
        """The number of a crew-day's depot in the table of drives."""
        return self.depots.index(self.board.depot[crew_day])

    def drive(self, sites: list[int]):
        """Minutes between the depots and these sites."""
        at = self.depots + sites
        return np.array(self.board.drive)[np.ix_(at, at)]

    def load(self, visit: int) -> list[int]:
        """Kilograms and millimetres on the truck."""
        of = self.board.visits[visit]
        return [round(of.mass_kg), round(of.load_thickness_mm)]

    def windows(self, visit: int) -> list[tuple[int, int, int, int]]:
        """Where it may begin: day from the first, two worked minutes, what being late costs."""
        found: dict[int, set[tuple[int, int]]] = defaultdict(set)
        late = {}
        for k in self.crew_days:
            if evaluate.fits(self.board, visit, k):
                found[self.board.day[k]].update(self.board.windows(visit, k))
                late[self.board.day[k]] = evaluate.late_cost(self.board, visit, k)
        return [
            (day - self.first_day, low, min(high, DAY_MIN - 1), late[day])
            for day in sorted(found)
            for low, high in sorted(found[day])
        ]
