"""Replanning a day with trouble: ``python -m tests.bench.replan [seeds]``.

150 visits, 10 crews, published; then a crew ill from the second day's start on, 4 urgent visits, 3
overruns, 2 cancelled. The goal: 2 s, at most 10 moved, no promised visit dropped that a move of a
few others could save. Every plan printed has passed the judge. Last: what was found on the way to
few enough moves, as moved/dropped/cost.
"""

import sys
from dataclasses import replace
from time import process_time

from crewjobs.domain.scheduling import Promised, Slot, after_iterations, solve, verify
from crewjobs.domain.scheduling.replan import Replanned, replan
from crewjobs.domain.scheduling.running import Running, Started
from tests.bench.crew_boards import SIZES, crew_board

NOW_MIN = 9 * 60 + 30

MOST_MOVED = 10
"""The goal."""


def main(seeds: int) -> None:
    print("seed  CPU s  in trouble  moved  dropped  urgent placed  calm moves  found")
    for seed in range(seeds):
        print(line(seed))


def line(seed: int) -> str:
    """One board: published, troubled, planned again."""
    board = crew_board(SIZES["M"], seed)
    plan = solve(board, seed=seed, stop=after_iterations(200))
    told = {s.visit: Slot(crew=s.crew, day=s.day, start_min=s.start_min) for s in plan.placed}
    visits = [
        replace(v, promise=told.get(v.id), promised=Promised.TOLD if v.id in told else v.promised)
        for v in board.visits
    ]
    day = min(at.day for at in board.crew_days)
    today = [s for s in plan.placed if s.day == day]
    places = {v.id: v.place for v in visits}
    begun = [s for s in today if s.start_min <= NOW_MIN]
    running = Running(
        day=day,
        now_min=NOW_MIN,
        started=tuple(
            Started(visit=s.visit, crew=s.crew, place=places[s.visit], start_min=s.start_min,
                    end_min=s.end_min)
            for s in begun
        ),
    )  # fmt: skip
    published = replace(board, visits=tuple(visits))
    calm = replan(published, plan, running, seed=seed)
    crews = sorted({s.crew for s in today})
    late = tuple(
        replace(s, end_min=s.end_min + (s.end_min - s.start_min) * 6 // 10) if n < 3 else s
        for n, s in enumerate(running.started)
    )
    event = replace(running, started=late, gone={crews[-1]: NOW_MIN})
    coming = [s.visit for s in plan.placed if s.day > day]
    cancelled = set(coming[:2])
    urgent = tuple(
        replace(v, id=f"urgent {n}", promise=None, windows=None, ready_on=day, priority=3,
                duration_min=60)
        for n, v in enumerate(visits[:4])
    )  # fmt: skip
    left = tuple(v for v in visits if v.id not in cancelled)
    troubled = replace(board, visits=(*left, *urgent))
    before = process_time()
    found = replan(troubled, plan, event, wanted=[v.id for v in urgent], seed=seed,
                   most_moved=MOST_MOVED)  # fmt: skip
    spent = process_time() - before
    if verify(found.problem, found.schedule):
        raise SystemExit(f"seed {seed}: the judge rejects the plan")
    counted = told_apart(found, {v.id for v in urgent}, cancelled)
    choices = " ".join(f"{each.moved}/{each.dropped}/{each.cost}" for each in found.choices)
    row = f"{seed:4}  {spent:5.2f}  {len(found.in_trouble):10}  {counted}  {len(calm.moves):10}"
    return f"{row}  {choices}"


def told_apart(found: Replanned, new: set[str], cancelled: set[str]) -> str:
    """How many moved, how many fell out, how many of the new ones found a place."""
    moved = [m for m in found.moves if m.after is not None and m.visit not in new]
    dropped = [m for m in found.moves if m.after is None and m.visit not in new | cancelled]
    placed = sum(s.visit in new for s in found.schedule.placed)
    return f"{len(moved):5}  {len(dropped):7}  {placed:13}"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
