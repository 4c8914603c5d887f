"""How long reasons take on big boards: the rules of every cell, the cheapest place, the remedies,
and who would have to move.

    python -m tests.bench.reasons [sizes]

CPU milliseconds for one visit that the plan leaves out, the board's tables at hand.
"""

import sys
from collections.abc import Callable, Iterator
from functools import partial
from time import process_time

from crewjobs.domain.scheduling import build, cells, evaluate, explain, remedies, room
from crewjobs.domain.scheduling.board import Board, Draft
from tests.bench.crew_boards import SIZES, crew_board

ASKED = 40
"""Visits asked about."""


def filled(board: Board) -> Draft:
    """A full plan, quickly made: each visit with one of the nearest crew-days that take it."""
    draft: Draft = {}
    for i in range(len(board.visits)):
        out = board.drive[board.site[i]]
        near = sorted(range(len(board.crew_days)), key=lambda k: out[board.depot[k]])[:150]
        for k in (k for k in near if evaluate.fits(board, i, k)):
            found = build.cheapest_order(board, k, draft.get(k, ()), i)
            if found is not None:
                draft[k] = found[1]
                break
    return draft


def timed(ask: Callable[[], object]) -> float:
    """CPU milliseconds of one call."""
    before = process_time()
    ask()
    return 1000 * (process_time() - before)


def fresh(board: Board, visit: int) -> None:
    """Forget what is known of a visit, so that it is asked for the first time."""
    for key in [key for key in board.fit if key[0] == visit]:
        del board.fit[key]


def asked(board: Board, draft: Draft, visit: int) -> Iterator[tuple[str, float]]:
    """The milliseconds of every question about one visit."""
    fresh(board, visit)
    yield (
        "rules + cheapest place",
        timed(lambda: (cells.broken(board, visit), cells.cheapest(board, draft, visit))),
    )
    yield "reasons", timed(lambda: explain.reasons(board, draft, visit))
    yield "remedies", timed(lambda: remedies.found(board, draft, visit))
    fitting = [k for k in range(len(board.crew_days)) if evaluate.fits(board, visit, k)]
    for k in fitting[:: max(1, len(fitting) // 3)][:3]:
        yield "who would move", timed(partial(room.room_on, board, draft, visit, k))


def main(sizes: list[str]) -> None:
    for size in sizes:
        board = Board(crew_board(SIZES[size], seed=0, load_share=1.4))
        draft = filled(board)
        left = evaluate.left_out(board, draft)[:ASKED]
        for _ in asked(board, draft, left[0]):
            """The first question fills the tables."""
        print(f"{size}: {len(board.crew_days)} crew-days, {len(left)} visits asked about")
        found: dict[str, list[float]] = {}
        for i in left:
            for name, spent in asked(board, draft, i):
                found.setdefault(name, []).append(spent)
        for name, each in found.items():
            mean, most = sum(each) / len(each), max(each)
            print(f"  {name:24} mean {mean:6.1f} ms  most {most:6.1f} ms")


if __name__ == "__main__":
    main(sys.argv[1:] or ["M", "XL"])
