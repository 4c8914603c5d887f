"""The cheapest plan of all, where the bound leaves few routes that a cheaper plan could be of.

Each route costs, net, some more than the least that its crew-day adds to the bound. In a plan
cheaper than the one at hand no route costs more than the gap; if all of those can be listed, the
cheapest choice of them is the cheapest plan.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from crewjobs.domain.scheduling import pricing
from crewjobs.domain.scheduling.board import Draft
from crewjobs.domain.scheduling.bound import Relaxation
from crewjobs.domain.scheduling.master import Choice, proven

MOST_ROUTES = 12_000
"""With more of them the choice takes too long. Not measured closely."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of a try to prove a plan the cheapest."""

    draft: Draft | None
    """A cheaper plan, if there is one."""
    is_proven: bool


class Proof:
    """One try for a plan of this cost; `verdict` is there when `steps` are through."""

    def __init__(self, relaxed: Relaxation, cost: int, is_enough: Callable[[], bool]) -> None:
        self.verdict = Verdict(None, is_proven=False)
        self._relaxed, self._cost, self._is_enough = relaxed, cost, is_enough
        self._routes: list[tuple[int, tuple[int, ...]]] = []
        self._costs: list[int] = []

    def steps(self) -> Iterator[None]:
        """List crew-day after crew-day, then choose."""
        for k in self._relaxed.crew_days:
            if not self._lists(k):
                return
            yield
        found = proven(self._choice(), below_cost=self._cost, is_enough=self._is_enough)
        draft = None
        if found.taken is not None:
            first = self._relaxed.rows.visits
            draft = dict(self._routes[n - first] for n in found.taken.tolist() if n >= first)
        self.verdict = Verdict(draft, found.is_proven)

    def _lists(self, crew_day: int) -> bool:
        """Whether all routes of the crew-day within the gap could be listed."""
        relaxed = self._relaxed
        limit = self._cost - relaxed.best + min(0.0, float(relaxed.floor[crew_day]))
        worth = relaxed.rows.worth(relaxed.dual, crew_day)
        found = pricing.priced(
            relaxed.lister, relaxed.board, crew_day, worth, (limit, np.inf), most=MOST_ROUTES
        )
        for order in found.routes.order.tolist():
            self._routes.append((crew_day, tuple(i for i in order if i >= 0)))
        self._costs += found.routes.cost.tolist()
        return found.is_whole and len(self._routes) <= MOST_ROUTES

    def _choice(self) -> Choice:
        rows, price = self._relaxed.rows, self._relaxed.board.price
        starts, index, values = rows.entries(self._routes)
        high = np.zeros(rows.count)
        high[: rows.visits + rows.crew_days] = 1.0
        alone = np.arange(rows.visits)
        return Choice(
            cost=np.array([*price, *self._costs], float),
            starts=np.concatenate([alone, rows.visits + starts]),
            rows=np.concatenate([alone, index]),
            values=np.concatenate([np.ones(rows.visits), values]),
            low=np.concatenate([np.ones(rows.visits), np.full(rows.count - rows.visits, -np.inf)]),
            high=high,
        )
