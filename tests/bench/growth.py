"""How planning time grows with the shop: ``python -m tests.bench.growth``.

Ten days, 30 visits a crew. The first plan, and one turn of the search with the same few iterations
in every part; in CPU seconds of one process, with the exponent from one size to the next (1 is
growth as the shop grows) and a bar as long as the seconds.
"""

import argparse
import math
import resource
import time

from crewjobs.domain.scheduling import Schedule, Stop, after_iterations, solve, territory, verify
from crewjobs.domain.scheduling.territory import Part
from tests.bench.crew_boards import Size, crew_board

DAYS, VISITS_A_CREW = 10, 30
ITERATIONS = 30
BAR_S = 2.0


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--crews", type=int, nargs="*", default=[5, 10, 20, 40, 80, 160])
    given = asked.parse_args()
    print("crews  visits  parts   first plan  power   a turn  power    MB")
    before: tuple[int, float, float] | None = None
    for crews in given.crews:
        problem = crew_board(Size(crews, DAYS, VISITS_A_CREW * crews), 0)
        began_s = time.process_time()
        parts = territory.first_cut(problem, seed=0)
        plan = joined(problem, parts, after_iterations(0))
        first_s = time.process_time() - began_s
        began_s = time.process_time()
        parts = territory.cut_again(problem, plan, turn=1, seed=0)
        plan = joined(problem, parts, after_iterations(ITERATIONS))
        turn_s = time.process_time() - began_s
        if broken := verify(problem, plan):
            raise SystemExit(f"the judge rejects a plan: {broken[0].message}")
        powers = ["", ""]
        if before is not None:
            grown = math.log(crews / before[0])
            powers = [f"{math.log(now / then) / grown:.2f}"
                      for now, then in ((first_s, before[1]), (turn_s, before[2]))]  # fmt: skip
        before = crews, first_s, turn_s
        most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(
            f"{crews:5}  {len(problem.visits):6}  {len(parts):5}  {first_s:9.2f} s  {powers[0]:>5}"
            f"  {turn_s:5.1f} s  {powers[1]:>5}  {most_mb:4}  {'=' * round(turn_s / BAR_S)}",
            flush=True,
        )


def joined(problem, parts: tuple[Part, ...], stop: Stop) -> Schedule:
    """Every part, one after the other, from where it stands."""
    plans = [
        solve(part.problem, seed=part.seed, stop=stop, warm=part.warm if part.warm.placed else None)
        for part in parts
    ]
    return territory.joined(problem, plans)


if __name__ == "__main__":
    main()
