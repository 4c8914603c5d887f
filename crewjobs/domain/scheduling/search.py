"""Makes a draft better by planning a few crew-days at a time exactly, all others held still.

One iteration frees some crew-days near a visit together with some visits without a place, lists
every route of those crew-days, and takes the cheapest choice. What is better is kept. The order of
visits that come after one another is a row of the choice, so no answer can break it.
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import evaluate, fairness, links, master
from crewjobs.domain.scheduling.board import Board, Draft, Span
from crewjobs.domain.scheduling.columns import Limits, Lister, Routes
from crewjobs.domain.scheduling.problem import Progress, Stop

Ints = NDArray[np.int64]

FREED = 4
"""Crew-days freed at once. Measured on boards of 150 visits: in equal time better than 6 or 8."""

MOST_FREED = 7
"""Crew-days freed at once when fewer have long won nothing."""

MOST_FREED_VISITS = 30
"""Visits freed at once; more of them, and listing all routes takes too long."""

PATIENCE = 50
"""Iterations in vain after which one more crew-day is freed."""

TAKEN_UP = 10
"""Visits without a place that are offered to them."""

MOST_REMEMBERED = 20_000
"""Parts tried in vain that are kept in mind."""

INDISPENSABLE = 10**7
"""The price of leaving out a visit that a planned one comes after: more than any neighbourhood."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one iteration plans anew: crew-days, visits, and the days the others leave to each."""

    crew_days: tuple[int, ...]
    visits: tuple[int, ...]
    spans: tuple[Span, ...]
    needed: frozenset[int]
    """Those that must have a place, because a visit elsewhere comes after them."""


class Search:
    """A draft on its way to a better one."""

    def __init__(self, board: Board, draft: Draft, *, seed: int) -> None:
        self.board = board
        self.draft = dict(draft)
        self.cost = evaluate.breakdown(board, draft).total
        self._freed = FREED
        self._rng = random.Random(seed)  # noqa: S311  # chance for a search, no secret
        self._lister = Lister(board, Limits())
        self._best_known: dict[Part, int] = {}
        """The cost below which nothing is known for a part that was tried."""
        self._eligible = [
            [k for k in range(len(board.crew_days)) if evaluate.fits(board, i, k)]
            for i in range(len(board.visits))
        ]
        self._of_day: dict[int, list[int]] = {}
        for k, day in enumerate(board.day):
            self._of_day.setdefault(day, []).append(k)
        self.movable = [
            i
            for i, crew_days in enumerate(self._eligible)
            if crew_days and not links.is_linked(board, i)
        ]
        self._still = {
            k for k, order in draft.items() if any(links.is_linked(board, i) for i in order)
        }
        """Crew-days with visits that go together are left as they are."""

    def run(self, stop: Stop) -> Draft:
        """The best draft found before the rule said stop."""
        progress = Progress(iterations=0, idle=0, cost=self.cost)
        while self.movable and not stop(progress):
            is_better = self.step(progress.idle)
            progress = replace(
                progress,
                iterations=progress.iterations + 1,
                idle=0 if is_better else progress.idle + 1,
                cost=self.cost,
            )
        return self.draft

    def start_at(self, draft: Draft) -> None:
        """Another draft to go on from."""
        self.draft, self.cost = dict(draft), evaluate.breakdown(self.board, draft).total

    def step(self, idle: int) -> bool:
        """Plan one part anew; whether that won something. More is freed after many in vain."""
        self._freed = min(MOST_FREED, FREED + idle // PATIENCE)
        if len(self._best_known) > MOST_REMEMBERED:
            self._best_known.clear()
        part = self._pick_part()
        if not part.crew_days:
            return False
        before = self._part_cost(part)
        if before <= self._best_known.get(part, -1):
            return False
        if self.board.costs.uneven:
            return self._evened(part, before)
        better = best_routes(self.board, self._lister, part, below=before)
        if better is None:
            self._best_known[part] = before
            return False
        self._replace(part, better)
        self.cost += self._part_cost(part) - before
        return True

    def _replace(self, part: Part, orders: Draft) -> None:
        for k in part.crew_days:
            self.draft.pop(k, None)
        self.draft.update(orders)

    def _evened(self, part: Part, before: int) -> bool:
        """Plan a part by the slope of what unevenness costs; kept if it truly is cheaper."""
        board = self.board
        work = fairness.work_min(board, self.draft)
        old = {k: self.draft[k] for k in part.crew_days if k in self.draft}
        slope = fairness.slope(board, work, old)
        paid = sum(slope.prices[crew] * each for crew, each in slope.held.items())
        better = best_routes(board, self._lister, part, below=ceil(before + paid), slope=slope)
        if better is None:
            return False
        self._replace(part, better)
        then = fairness.cost(board, fairness.work_min(board, self.draft))
        saved = before + fairness.cost(board, work) - self._part_cost(part) - then
        if saved <= 0:
            self._replace(part, old)
            return False
        self.cost -= saved
        return True

    def _part_cost(self, part: Part) -> int:
        orders = {k: self.draft.get(k, ()) for k in part.crew_days}
        placed = {visit for order in orders.values() for visit in order}
        cost = sum(evaluate.route_cost(self.board, k, order) or 0 for k, order in orders.items())
        return cost + sum(self.board.price[i] for i in part.visits if i not in placed)

    def _pick_part(self) -> Part:
        """Some crew-days near a visit drawn by chance, what they hold and what has no place."""
        at = {visit: k for k, order in self.draft.items() for visit in order}
        without = [i for i in self.movable if i not in at]
        seed = self._draw_seed(without)
        crew_days = self._near_crew_days(seed, at.get(seed))
        freed = [visit for k in crew_days for visit in self.draft.get(k, ())]
        offered = self._near_visits(seed, without, set(crew_days))
        return self._part(crew_days, sorted({*freed, *offered}), at)

    def _draw_seed(self, without: Sequence[int]) -> int:
        if without and self._rng.random() < 0.6:
            weights = [self.board.visits[i].priority for i in without]
            return self._rng.choices(without, weights)[0]
        return self._rng.choice(self.movable)

    def _near_crew_days(self, seed: int, held_by: int | None) -> list[int]:
        """Crew-days that could take the visit, near ones first; sometimes others of its day too."""
        eligible = self._eligible[seed]
        picked = [] if held_by is None else [held_by]
        if self._rng.random() < 0.5:
            day = self.board.day[self._rng.choice(eligible) if held_by is None else held_by]
            picked += self._by_nearness(seed, self._of_day[day])[: self._freed // 2]
        picked += self._by_nearness(seed, eligible)
        if len(set(picked)) < self._freed:
            picked += self._by_nearness(seed, range(len(self.board.crew_days)))
        return sorted(self._within_limits(dict.fromkeys(picked)))

    def _within_limits(self, crew_days: Iterable[int]) -> list[int]:
        """The first of the crew-days, as many and as full as may be freed at once."""
        chosen: list[int] = []
        room = MOST_FREED_VISITS
        for k in crew_days:
            held = len(self.draft.get(k, ()))
            if held <= room and len(chosen) < self._freed and k not in self._still:
                chosen.append(k)
                room -= held
        return chosen

    def _by_nearness(self, seed: int, crew_days: Iterable[int]) -> list[int]:
        """The crew-days by their distance from a visit, shaken a little."""
        nearness = {k: self._distance_min(seed, k) * (0.6 + self._rng.random()) for k in crew_days}
        return sorted(nearness, key=nearness.__getitem__)

    def _distance_min(self, visit: int, crew_day: int) -> float:
        """Minutes from the nearest stop of the crew-day; half the way from the depot if empty."""
        row, board = self.board.drive[self.board.site[visit]], self.board
        order = self.draft.get(crew_day, ())
        return min((row[board.site[i]] for i in order), default=row[board.depot[crew_day]] * 0.5)

    def _near_visits(self, seed: int, without: Sequence[int], crew_days: set[int]) -> list[int]:
        """Visits without a place that one of the crew-days could take, the seed first."""
        row = self.board.drive[self.board.site[seed]]
        others = [i for i in without if i != seed and crew_days.intersection(self._eligible[i])]
        nearness = {
            i: (1 + row[self.board.site[i]])
            * (0.5 + self._rng.random())
            / self.board.visits[i].priority
            for i in others
        }
        near = sorted(others, key=nearness.__getitem__)
        return [*self._kin(seed, set(without)), *near][:TAKEN_UP]

    def _kin(self, seed: int, without: set[int]) -> list[int]:
        """The visit and those before and after it, as far as they have no place."""
        kin = [seed, *(later for later, _ in self.board.successors.get(seed, ()))]
        if seed in self.board.predecessor:
            kin.append(self.board.predecessor[seed][0])
        return [visit for visit in kin if visit in without]

    def _part(self, crew_days: Sequence[int], visits: Sequence[int], at: dict[int, int]) -> Part:
        free = set(visits)
        days = {i: self.board.day[k] for i, k in at.items() if i not in free}
        needed = (i for i in free if any(s in days for s, _ in self.board.successors.get(i, ())))
        return Part(
            crew_days=tuple(crew_days),
            visits=tuple(visits),
            spans=tuple(self._span(days, i, free) for i in visits),
            needed=frozenset(needed),
        )

    def _span(self, days: dict[int, int], visit: int, free: set[int]) -> Span:
        """The days that the visits held still leave to a free one."""
        before = self.board.predecessor.get(visit)
        if before is not None and before[0] in free:
            # The choice itself keeps their order; here the earlier one is as if long ago.
            days = {**days, before[0]: -before[1]}
        return evaluate.day_span(self.board, days, visit)


def best_routes(
    board: Board, lister: Lister, part: Part, *, below: int, slope: fairness.Slope | None = None
) -> Draft | None:
    """The cheapest routes of a part's crew-days; None if none is known below this cost.

    With a slope, a minute at a site has a price by its crew, and no crew gets much more or less of
    them than would be even.
    """
    listed = [lister.routes(k, _takers(board, part, k)) for k in part.crew_days]
    choice = _Rows(board, part, listed, slope).choice()
    taken = master.cheapest(choice, below_cost=below)
    if taken is None:
        return None
    offsets = np.cumsum([0, *(len(routes.cost) for routes in listed)])
    draft: Draft = {}
    for column in taken:
        which = int(np.searchsorted(offsets, column, side="right")) - 1
        if which < len(listed):
            order = listed[which].order[column - offsets[which]]
            draft[part.crew_days[which]] = tuple(int(i) for i in order if i >= 0)
    return draft


def _takers(board: Board, part: Part, crew_day: int) -> list[int]:
    """The free visits that the crew-day could hold on a day that their order leaves."""
    day = board.day[crew_day]
    return [
        visit
        for visit, (first, last) in zip(part.visits, part.spans, strict=True)
        if first <= day <= last and evaluate.fits(board, visit, crew_day)
    ]


class _Rows:
    """Writes a part as a choice of columns: one for each route, one for leaving out each visit.

    Rows: each visit once; each crew-day at most once; and for two free visits of which one comes
    after the other, up to every day: no more of the later one than of the earlier one with its
    lead.
    """

    def __init__(
        self,
        board: Board,
        part: Part,
        listed: Sequence[Routes],
        slope: fairness.Slope | None = None,
    ) -> None:
        self.board, self.part, self.listed, self.slope = board, part, listed, slope
        self.length = np.array([*(visit.duration_min for visit in board.visits), 0])
        crews = [board.crew_days[k].crew for k in part.crew_days]
        self.crews = list(dict.fromkeys(crews)) if slope else []
        self.row = np.full(len(board.visits), -1, np.int64)
        self.row[list(part.visits)] = np.arange(len(part.visits))
        self.orders = list(self._order_rows())

    def choice(self) -> master.Choice:
        """The whole of it."""
        visits, crew_days = len(self.part.visits), len(self.part.crew_days)
        routes = [self._route_entries(q) for q in range(crew_days)]
        alone = (np.ones(visits, np.int64), np.arange(visits), np.ones(visits))
        lengths, rows, values = (
            np.concatenate(parts) for parts in zip(*routes, alone, strict=True)
        )
        prices = [
            INDISPENSABLE if i in self.part.needed else self.board.price[i]
            for i in self.part.visits
        ]
        free = np.full(crew_days + len(self.orders), -np.inf)
        spans = [self.slope.spans[crew] for crew in self.crews] if self.slope else []
        limits = np.array(spans, float).reshape(-1, 2)
        costs = [self._costs(q) for q in range(crew_days)]
        return master.Choice(
            cost=np.concatenate([*costs, prices]).astype(float),
            starts=np.concatenate([[0], np.cumsum(lengths)]),
            rows=rows,
            values=values,
            low=np.concatenate([np.ones(visits), free, limits[:, 0]]),
            high=np.concatenate(
                [np.ones(visits + crew_days), np.zeros(len(self.orders)), limits[:, 1]]
            ),
        )

    def _costs(self, which: int) -> Ints:
        """The cost of each route of a crew-day, with what its minutes cost."""
        routes = self.listed[which]
        if self.slope is None:
            return routes.cost
        price = self.slope.prices[self.board.crew_days[self.part.crew_days[which]].crew]
        extra: Ints = np.rint(price * self._minutes(which)).astype(np.int64)
        return routes.cost + extra

    def _minutes(self, which: int) -> Ints:
        """The minutes at sites of each route of a crew-day."""
        minutes: Ints = self.length[self.listed[which].order].sum(axis=1)
        return minutes

    def _order_rows(self) -> Iterator[tuple[int, int, int, int]]:
        """Earlier visit, later visit, lead, and the day up to which they are counted."""
        days = sorted({self.board.day[k] for k in self.part.crew_days})
        for later in self.part.visits:
            before = self.board.predecessor.get(later)
            if before is not None and self.row[before[0]] >= 0:
                yield from ((before[0], later, before[1], day) for day in days)

    def _route_entries(self, which: int) -> tuple[Ints, Ints, NDArray[np.float64]]:
        """Lengths, rows and values of the columns of one crew-day."""
        order = self.listed[which].order
        day = self.board.day[self.part.crew_days[which]]
        visits = np.where(order >= 0, self.row[order], -1)
        crew_day = np.full((len(order), 1), len(self.part.visits) + which)
        rows = [visits, crew_day]
        values = [np.ones(visits.shape), np.ones((len(order), 1))]
        top = len(self.part.visits) + len(self.part.crew_days)
        for row, (before, later, lead, until) in enumerate(self.orders, start=top):
            value = _counts(order, later, day <= until) - _counts(
                order, before, day <= until - lead
            )
            rows.append(np.where(value != 0, row, -1)[:, None])
            values.append(value[:, None])
        if self.crews:
            crew = self.crews.index(self.board.crew_days[self.part.crew_days[which]].crew)
            rows.append(np.full((len(order), 1), top + len(self.orders) + crew))
            values.append(self._minutes(which)[:, None].astype(float))
        table, amounts = np.hstack(rows), np.hstack(values)
        used = table >= 0
        return used.sum(axis=1), table[used], amounts[used]


def _counts(order: Ints, visit: int, is_counted: bool) -> NDArray[np.float64]:
    """How often a visit is in each route, if it counts."""
    holds: NDArray[np.bool_] = (order == visit).any(axis=1)
    return holds.astype(np.float64) * float(is_counted)
