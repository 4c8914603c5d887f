"""Our plans beside those of two public solvers: ``python -m tests.bench.rivalry M 20``.

Equal CPU seconds on one thread, the same boards, one judge. PyVRP has three seeds and shows its
best; ours and OR-Tools run once. Loads of 60, 100 and 140 %.
"""

import argparse

from crewjobs.domain.scheduling import Problem, Schedule, solve, verify
from tests.bench import crew_ortools, crew_pyvrp
from tests.bench.crew_boards import SIZES, crew_board
from tests.bench.crew_words import cpu_stop, plan_of

LOADS = (0.6, 1.0, 1.4)
PYVRP_SEEDS = (1, 2, 3)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("size", choices=SIZES)
    asked.add_argument("seconds", type=float)
    asked.add_argument("--seeds", type=int, default=5)
    asked.add_argument("--loads", type=float, nargs="*", default=LOADS)
    given = asked.parse_args()
    print(f"{SIZES[given.size]}, {given.seconds:g} CPU seconds each\n")
    print("                             PyVRP, best of 3             OR-Tools")
    print("load  seed    ours  placed      cost  placed  we save      cost  placed  we save")
    for load_share in given.loads:
        for seed in range(given.seeds):
            problem = crew_board(SIZES[given.size], seed, load_share)
            print(f"{load_share:4.0%}  {seed:4}  {line(problem, given.seconds)}", flush=True)


def line(problem: Problem, seconds: float) -> str:
    """One board, planned by all three."""
    ours = judged(problem, solve(problem, seed=1, stop=cpu_stop(seconds)))
    pyvrp = min(
        (
            judged(problem, plan_of(problem, crew_pyvrp.draft(problem, seconds=seconds, seed=seed)))
            for seed in PYVRP_SEEDS
        ),
        key=lambda plan: plan.cost.total,
    )
    found = crew_ortools.draft(problem, seconds=seconds)
    ortools = None if found is None else judged(problem, plan_of(problem, found))
    return (
        f"{ours.cost.total:6}  {len(ours.placed):6}  {_beside(ours, pyvrp):>25}"
        f"  {_beside(ours, ortools):>25}"
    )


def judged(problem: Problem, plan: Schedule) -> Schedule:
    """The plan, if the judge knows no rule that it breaks."""
    if broken := verify(problem, plan):
        raise SystemExit(f"the judge rejects a plan: {broken[0].message}")
    return plan


def _beside(ours: Schedule, theirs: Schedule | None) -> str:
    if theirs is None:
        return "no plan"
    saved = 1 - ours.cost.total / theirs.cost.total
    return f"{theirs.cost.total:8}  {len(theirs.placed):6}  {saved:7.1%}"


if __name__ == "__main__":
    main()
