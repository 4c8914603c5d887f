"""How long planning takes and what it wins: ``python -m tests.bench.plan``.

60 visits, 3 crews, 10 days, one thread. The goal: a plan within 5 s that is clearly cheaper than
greedy insertion. Every plan printed has passed the judge.
"""

import time

from crewjobs.domain.scheduling import Progress, after_iterations, solve, verify
from tests.domain.scheduling.boards import Shape, random_problem

SECONDS = 5.0
SHAPE = Shape(crews=3, days=10, visits=60)


def main() -> None:
    print(f"{SHAPE}, {SECONDS:g} s\n")
    print("seed  greedy    in s   search  in s  iterations  idle  placed  saved")
    for seed in range(3):
        print(line(seed))


def line(seed: int) -> str:
    """One board, planned both ways."""
    problem = random_problem(seed, SHAPE)
    began = time.perf_counter()
    greedy = solve(problem, seed=seed, stop=after_iterations(0))
    greedy_s = time.perf_counter() - began
    seen: list[Progress] = []

    def stop(progress: Progress) -> bool:
        seen[:] = [progress]
        return time.perf_counter() - began > SECONDS

    began = time.perf_counter()
    found = solve(problem, seed=seed, stop=stop)
    search_s = time.perf_counter() - began
    if verify(problem, greedy) or verify(problem, found):
        raise SystemExit(f"seed {seed}: the judge rejects a plan")
    saved = 1 - found.cost.total / greedy.cost.total
    return (
        f"{seed:4}  {greedy.cost.total:6}  {greedy_s:6.3f}   {found.cost.total:6} {search_s:5.1f}"
        f"  {seen[0].iterations:10}  {seen[0].idle:4}  {len(found.placed):6}  {saved:5.1%}"
    )


if __name__ == "__main__":
    main()
