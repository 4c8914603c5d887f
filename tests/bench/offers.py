"""How long it takes to find the windows that can be promised: ``python -m tests.bench.offers``.

CPU milliseconds for one new visit on a week of 10 crews that is planned and published, the tables
built for each question or kept for all of them.
"""

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from time import process_time

from crewjobs.domain.scheduling import Problem, Schedule, Slot, Visit, after_iterations, solve
from crewjobs.domain.scheduling.offers import Desk, Offer, offers
from tests.bench.crew_boards import SIZES, crew_board

ASKED = 40
"""Visits asked about."""


def published(seed: int) -> tuple[Problem, Schedule]:
    """A board and its plan, every second visit told."""
    board = crew_board(SIZES["M"], seed)
    plan = solve(board, seed=seed, stop=after_iterations(60))
    told = {s.visit: Slot(crew=s.crew, day=s.day, start_min=s.start_min) for s in plan.placed[::2]}
    visits = tuple(replace(each, promise=told.get(each.id)) for each in board.visits)
    return replace(board, visits=visits), plan


def main(seeds: int) -> None:
    for seed in range(seeds):
        print(line(seed))


def line(seed: int) -> str:
    """The figures of one board."""
    problem, plan = published(seed)
    new = [replace(v, id=f"new {v.id}", promise=None, windows=None) for v in problem.visits[:ASKED]]
    desk = Desk(problem, plan)
    desk.offers(new[0])
    built, count = timed(lambda visit: offers(problem, plan, visit), new)
    kept, same = timed(desk.offers, new)
    if count != same:
        raise SystemExit(f"seed {seed}: {count} windows, and {same} with the tables kept")
    return f"seed {seed}: {count / ASKED:5.1f} windows, built {told(built)}; kept {told(kept)}"


def timed(
    ask: Callable[[Visit], Sequence[Offer]], visits: Iterable[Visit]
) -> tuple[list[float], int]:
    """The milliseconds of each question, and how many windows were found."""
    spent, count = [], 0
    for visit in visits:
        before = process_time()
        count += len(ask(visit))
        spent.append(1000 * (process_time() - before))
    return spent, count


def told(spent_ms: Sequence[float]) -> str:
    """Mean and most of the milliseconds."""
    return f"mean {sum(spent_ms) / len(spent_ms):5.1f} ms, most {max(spent_ms):5.1f} ms"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2)
