"""How far plans are from the proven bound: ``python -m tests.bench.board_gap [S|M] [load] [s]``.

CPU seconds of one thread. Every plan printed has passed the judge. Goals: S proven within 3 s; M
within 8, 5 and 2.5 % of the bound after 10, 20 and 60 s, on the mean of five seeds, at 100 % load;
at most 150 MB. ``small`` compares 300 small boards with trying every plan.
"""

import resource
import sys
import time
from statistics import mean

from crewjobs.domain.scheduling import Progress, Schedule, after_iterations, solve, verify
from tests.bench.crew_boards import SIZES, crew_board
from tests.domain.scheduling.test_solve import least_cost, small

MARKS_S = (5, 10, 20, 60)
SEEDS = range(5)


def main() -> None:
    if sys.argv[1:2] == ["small"]:
        print(f"small boards: {sum(map(is_cheapest, range(300)))} of 300 as cheap as can be")
        return
    size, load, most_s = (*sys.argv[1:4], *("M", "1", "60")[len(sys.argv) - 1 :])
    print(f"{size}, load {float(load):.0%}, gap to the bound in percent after CPU seconds\n")
    print("seed    bound     cost  proven   in s  " + "  ".join(f"{m:>4} s" for m in MARKS_S))
    gaps = [line(size, seed, float(load), float(most_s)) for seed in SEEDS]
    columns = zip(*gaps, strict=True)
    print(f"mean{'':33}" + "  ".join(f"{mean(column):6.2f}" for column in columns))
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def line(size: str, seed: int, load: float, most_s: float) -> list[float]:
    """The gap at each mark, printed."""
    problem = crew_board(SIZES[size], seed, load)
    seen: list[tuple[float, int]] = []
    began = time.process_time()

    def stop(progress: Progress) -> bool:
        spent_s = time.process_time() - began
        seen.append((spent_s, progress.cost))
        return spent_s > most_s

    found = solve(problem, seed=1, stop=stop)
    spent_s = time.process_time() - began
    if verify(problem, found):
        raise SystemExit(f"seed {seed}: the judge rejects a plan")
    gaps = [gap(seen, found, mark_s) for mark_s in MARKS_S]
    shown = "  ".join(f"{each:6.2f}" for each in gaps)
    bound, cost = found.lower_bound, found.cost.total
    proven = "yes" if found.is_proven else "no"
    print(f"{seed:4} {bound:8} {cost:8}  {proven:>6} {spent_s:6.1f}  {shown}", flush=True)
    return gaps


def gap(seen: list[tuple[float, int]], found: Schedule, mark_s: float) -> float:
    """What the best plan of that moment costs above the bound, in percent."""
    last = max(spent_s for spent_s, _ in seen)
    cost = min(cost for spent_s, cost in seen if spent_s <= mark_s)
    if last <= mark_s:
        cost = found.cost.total
    return 100 * (cost / (found.lower_bound or 1) - 1)


def is_cheapest(seed: int) -> bool:
    """Whether a board of five to eight visits, two crews and two days is planned at least cost."""
    problem = small(
        seed, visits=5 + seed % 4, afters=seed % 3, load_share=(0.3, 0.6, 1.2)[seed % 3]
    )
    found = solve(problem, seed=1, stop=after_iterations(2000))
    return found.is_proven and found.cost.total == least_cost(problem)


if __name__ == "__main__":
    main()
