"""Large boards in parts, on two cores: ``python -m tests.bench.territories L 60``.

So many seconds of the clock for ours, shared among the parts and turns; then PyVRP in the same
first parts and with the processor seconds that ours took in all. One judge.
Prints cost and visits placed turn by turn, and the memory at its most.
"""

import argparse
import multiprocessing
import resource
import time
from collections.abc import Callable, Sequence

from crewjobs.domain.scheduling import Schedule, after_iterations, solve, territory, verify
from crewjobs.domain.scheduling.territory import Part
from tests.bench import crew_pyvrp
from tests.bench.crew_boards import SIZES, crew_board
from tests.bench.crew_words import cpu_stop, plan_of

PROCESSES = 2
FIRST_SHARE = 0.5
"""Of the time, to the first cut; the rest to the turns, shared evenly."""

Solver = Callable[[tuple[Part, float]], Schedule]


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("size", choices=["M", "L", "XL"])
    asked.add_argument("seconds", type=float)
    asked.add_argument("--seeds", type=int, default=1)
    asked.add_argument("--turns", type=int, default=2)
    asked.add_argument(
        "--most", type=int, default=territory.MOST_CREW_DAYS, help="crew-days a part"
    )
    asked.add_argument("--alone", action="store_true", help="without PyVRP")
    given = asked.parse_args()
    print(f"{SIZES[given.size]}, {given.seconds:g} s of the clock on {PROCESSES} processes")
    for seed in range(given.seeds):
        board(given.size, seed, given)


def board(size: str, seed: int, given: argparse.Namespace) -> None:
    """One board, ours and theirs."""
    problem = crew_board(SIZES[size], seed)
    began_s = time.perf_counter()
    parts = territory.first_cut(problem, seed=seed, most_crew_days=given.most)
    for part in parts:
        solve(part.problem, seed=seed, stop=after_iterations(0))
    print(f"\nseed {seed}: {len(parts)} parts, greedy in {time.perf_counter() - began_s:.1f} s")
    with multiprocessing.get_context("fork").Pool(PROCESSES) as pool:
        began_s = time.perf_counter()
        budget_s = PROCESSES * given.seconds / len(parts)
        shares = iter([FIRST_SHARE] + [(1 - FIRST_SHARE) / max(1, given.turns)] * given.turns)

        def run(cut: Sequence[Part]) -> list[Schedule]:
            part_s = budget_s * next(shares) * len(parts) / len(cut)
            return pool.map(ours, [(part, part_s) for part in cut], chunksize=1)

        plans = territory.planned(
            problem, seed=seed, turns=given.turns, run=run, most_crew_days=given.most
        )
        for turn, plan in enumerate(plans):
            told(f"after turn {turn}", problem, plan, time.perf_counter() - began_s)
        if not given.alone:
            work = [(part, budget_s) for part in parts]
            theirs = territory.joined(problem, pool.map(pyvrp, work, chunksize=1))
            told("PyVRP, same parts", problem, theirs, time.perf_counter() - began_s)
            print(f"we save {1 - plan.cost.total / theirs.cost.total:.1%}")
    usage = (resource.getrusage(who).ru_maxrss // 1024 for who in
             (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))  # fmt: skip
    print("at most {} MB here, {} MB in a process".format(*usage))


def told(name: str, problem, plan: Schedule, seconds: float) -> None:
    if broken := verify(problem, plan):
        raise SystemExit(f"the judge rejects a plan: {broken[0].message}")
    served = len(plan.placed) / len(problem.visits)
    print(f"{name:18} {plan.cost.total:9}  {served:6.1%} served  {seconds:6.1f} s", flush=True)


def ours(given: tuple[Part, float]) -> Schedule:
    """A part planned by us within so many CPU seconds."""
    part, seconds = given
    warm = part.warm if part.warm.placed else None
    found = solve(part.problem, seed=part.seed, stop=cpu_stop(seconds), warm=warm)
    if territory.is_kept(part, found):
        return found
    return solve(part.problem, seed=part.seed, stop=after_iterations(0), warm=warm)


def pyvrp(given: tuple[Part, float]) -> Schedule:
    """A part planned by PyVRP within so many CPU seconds."""
    part, seconds = given
    return plan_of(part.problem, crew_pyvrp.draft(part.problem, seconds=seconds, seed=part.seed))


if __name__ == "__main__":
    main()
