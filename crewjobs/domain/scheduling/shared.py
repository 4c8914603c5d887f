"""A plan that shares the work out: sought cheap first, then evened, then searched on from there.

A search that minds evenness from the start finds neither: what is even and dear holds it fast.
"""

from collections.abc import Iterator
from dataclasses import replace

from crewjobs.domain.scheduling import evaluate, exchange
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.improve import Found, improved
from crewjobs.domain.scheduling.problem import Progress, Stop

FIRST_FRACTION = 32
"""Evening out by degrees begins with this part of its price and doubles it. Not measured closely:
on boards of 150 visits at once or by degrees is better by chance, so both are tried."""


def shared_out(board: Board, draft: Draft, *, seed: int, stop: Stop) -> Found:
    """The best draft found: half of the iterations without a thought of evenness, half with it."""
    spent = 0

    def halfway(progress: Progress) -> bool:
        nonlocal spent
        spent = progress.iterations
        return stop(replace(progress, iterations=2 * spent))

    def rest(progress: Progress) -> bool:
        return stop(replace(progress, iterations=spent + progress.iterations))

    cheap = improved(_with_price(board, 0), draft, seed=seed, stop=halfway)
    tried = [exchange.evened(board, each) for each in (draft, cheap.draft)]
    start = _cheapest(board, [*tried, _by_degrees(board, cheap.draft)])
    found = improved(board, start, seed=seed, stop=rest)
    end = _cheapest(board, [found.draft, exchange.evened(board, found.draft)])
    return Found(end, lower_bound=cheap.lower_bound)


def _cheapest(board: Board, drafts: list[Draft]) -> Draft:
    return min(drafts, key=lambda draft: evaluate.breakdown(board, draft).total)


def _by_degrees(board: Board, draft: Draft) -> Draft:
    for price in _prices(board.costs.uneven):
        draft = exchange.evened(_with_price(board, price), draft)
    return draft


def _prices(whole: int) -> Iterator[int]:
    fraction = FIRST_FRACTION
    while fraction >= 1:
        yield whole // fraction
        fraction //= 2


def _with_price(board: Board, uneven: int) -> Board:
    """The board with another price of unevenness."""
    return Board(replace(board.problem, costs=replace(board.costs, uneven=uneven)))
