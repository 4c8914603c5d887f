"""What it costs to share work out evenly: ``python -m tests.bench.fairness [iterations]``.

150 visits, 10 crews, 5 days, 62 % loaded, CPU seconds of one thread. The goal: a spread of the
crews' utilisation (standard deviation over mean) of at most 0.07 for at most 1 % of the cost.
"""

import sys
import time
from dataclasses import replace

from crewjobs.domain.scheduling import Problem, after_iterations, fairness, solve, verify
from crewjobs.domain.scheduling.board import Board
from tests.bench.crew_boards import SIZES, crew_board

LOAD_SHARE = 0.62
UNEVEN = 20_000
SEEDS = (0, 1)


def main() -> None:
    iterations = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    print(f"{SIZES['M']}, {LOAD_SHARE:.0%} loaded, {iterations} iterations, price {UNEVEN}\n")
    print("seed  cost        spread  in s    even cost   spread  in s    dearer")
    for seed in SEEDS:
        problem = crew_board(SIZES["M"], seed, load_share=LOAD_SHARE)
        even = replace(problem, costs=replace(problem.costs, uneven=UNEVEN))
        (cost, spread, cpu_s), (own, less, more_s) = (
            planned(each, iterations) for each in (problem, even)
        )
        print(
            f"{seed:4}  {cost:10}  {spread:6.3f}  {cpu_s:6.1f}  {own:10}  {less:6.3f}"
            f"  {more_s:6.1f}  {own / cost - 1:+.2%}"
        )


def planned(problem: Problem, iterations: int) -> tuple[int, float, float]:
    """What a plan costs without its unevenness, how uneven it is, and how long it took."""
    began = time.process_time()
    plan = solve(problem, seed=1, stop=after_iterations(iterations))
    cpu_s = time.process_time() - began
    if verify(problem, plan):
        raise SystemExit("the judge rejects a plan")
    board = Board(problem)
    work = dict.fromkeys(board.open_min, 0)
    for stop in plan.placed:
        work[stop.crew] += board.visits[board.visit_number[stop.visit]].duration_min
    return plan.cost.total - plan.cost.uneven, fairness.spread_share(board, work), cpu_s


if __name__ == "__main__":
    main()
