"""A better and better plan until the rule says stop, or until it is proven that none is cheaper.

A short search by exact parts opens. Then the relaxation is priced until it brings little more, and
dives into it give plans to search on from; its bound tells how far from the cheapest they can be.
Where crew-days hang on each other (visits that go together, even shares of work) or are very many,
there is the search alone.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from crewjobs.domain.scheduling import evaluate
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.bound import Relaxation
from crewjobs.domain.scheduling.columns import Lister
from crewjobs.domain.scheduling.dive import Dive
from crewjobs.domain.scheduling.problem import Progress, Stop
from crewjobs.domain.scheduling.proof import Proof
from crewjobs.domain.scheduling.search import Search

MOST_CREW_DAYS = 80
"""With more of them the relaxation takes too long to be worth it. Not measured closely."""

OPENING = 8
"""Iterations of the search before anything is priced."""

OPENING_AS_TOLD = 100
"""The same where visits are published: then a few moves usually do."""

BETWEEN = 1
"""Iterations of the search between two early rounds of pricing. Not measured closely."""

IDLE = 30
"""Iterations in vain after which the search from one plan ends. Not measured closely."""

SHAKEN_SHARE = 0.5
"""How far chance may prefer a route in a dive after the first."""


@dataclass(frozen=True, slots=True)
class Found:
    """The best draft, and what no draft can be cheaper than, if that is known."""

    draft: Draft
    lower_bound: int | None


def improved(board: Board, draft: Draft, *, seed: int, stop: Stop) -> Found:
    """The best draft found before the rule said stop."""
    return _Improvement(board, draft, seed=seed, stop=stop).run()


class _Improvement:
    def __init__(self, board: Board, draft: Draft, *, seed: int, stop: Stop) -> None:
        self.board, self.draft, self._stop = board, draft, stop
        self.cost = evaluate.breakdown(board, draft).total
        self.lower_bound: int | None = None
        self._rng = random.Random(seed)  # noqa: S311  # chance for a search, no secret
        self._search = Search(board, draft, seed=seed)
        self._progress = Progress(iterations=0, idle=0, cost=self.cost)

    def run(self) -> Found:
        """Take steps until it is enough."""
        steps = self._steps() if self._search.movable else iter(())
        while not self._is_enough() and not self._is_proven():
            is_whole = next(steps, None)
            if is_whole is None:
                break
            if is_whole:
                self._count()
        return Found(self.draft, self.lower_bound)

    def _is_enough(self) -> bool:
        return self._stop(self._progress)

    def _is_proven(self) -> bool:
        return self.lower_bound is not None and self.cost <= self.lower_bound

    def _count(self) -> None:
        """One more iteration."""
        is_better = self.cost < self._progress.cost
        self._progress = replace(
            self._progress,
            iterations=self._progress.iterations + 1,
            idle=0 if is_better else self._progress.idle + 1,
            cost=self.cost,
        )

    def _take(self, draft: Draft, cost: int) -> None:
        if cost < self.cost:
            self.draft, self.cost = dict(draft), cost

    def _steps(self) -> Iterator[bool]:
        """True at the end of each iteration, False where one may be broken off."""
        board = self.board
        if board.groups or board.costs.uneven or len(board.crew_days) > MOST_CREW_DAYS:
            yield from self._searched(None, 10**9)
        is_told = any(visit.promise for visit in board.visits)
        yield from self._searched(OPENING_AS_TOLD if is_told else OPENING, IDLE)
        relaxed = Relaxation(board, Lister(board), range(len(board.crew_days)))
        relaxed.take_up(self.draft)
        rounds = relaxed.rounds()
        while not relaxed.is_ripe and not relaxed.is_tight:
            is_whole = next(rounds)
            yield is_whole
            if is_whole:
                yield from self._searched(BETWEEN, IDLE)
        yield from self._dived(relaxed, 0.0)
        while not relaxed.is_settled and not relaxed.is_tight:
            self._bounded(relaxed)
            yield next(rounds)
        yield from self._dived(relaxed, 0.0)
        for is_whole in rounds:
            self._bounded(relaxed)
            yield is_whole
        self._bounded(relaxed)
        tried = self.cost + 1
        while True:
            if self.cost < tried:
                tried = self.cost
                yield from self._proved(relaxed)
            yield from self._dived(relaxed, SHAKEN_SHARE)
            yield from self._searched_on()

    def _bounded(self, relaxed: Relaxation) -> None:
        self.lower_bound = max(relaxed.lower_bound, self.lower_bound or 0)

    def _searched(self, most: int | None, patience: int) -> Iterator[bool]:
        """Search on until it is in vain."""
        count = idle = 0
        while idle < patience and (most is None or count < most):
            idle = 0 if self._search.step(idle) else idle + 1
            count += 1
            self._take(self._search.draft, self._search.cost)
            yield True

    def _searched_on(self) -> Iterator[bool]:
        """Search on from the best draft of all."""
        self._search.start_at(self.draft)
        yield from self._searched(None, IDLE)

    def _dived(self, relaxed: Relaxation, shaken_share: float) -> Iterator[bool]:
        """A dive, and a search from where it ends."""
        relaxed.take_up(self.draft)
        dive = Dive(relaxed, self._rng, shaken_share)
        for _ in dive.steps():
            yield False
        self._search.start_at(dive.draft)
        self._take(self._search.draft, self._search.cost)
        yield True
        yield from self._searched(None, IDLE)

    def _proved(self, relaxed: Relaxation) -> Iterator[bool]:
        """Try to prove that no plan is cheaper."""
        proof = Proof(relaxed, self.cost, self._is_enough)
        for _ in proof.steps():
            yield False
        draft, is_proven = proof.verdict.draft, proof.verdict.is_proven
        if draft is not None:
            self._take(draft, evaluate.breakdown(self.board, draft).total)
        if is_proven:
            self.lower_bound = self.cost
        yield True
