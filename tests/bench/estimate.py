"""How long an estimate takes: ``python -m tests.bench.estimate``.

Invented works with some 17 tasks on average, one thread. The goal: 1 ms for one estimate.
"""

import time
from collections.abc import Callable
from random import Random
from statistics import mean

from crewjobs.domain.facts import Team, VisitKind, Work
from crewjobs.domain.hours import Estimate, estimate
from tests.domain.hours.random_work import random_team, random_work

WORKS = 500
ROUNDS = 3
MOST_TASKS = 55
GOAL_MS = 1.0


def main() -> None:
    rng = Random(1)
    visits = [(random_work(rng), random_team(rng)) for _ in range(WORKS)]
    visits = [visit for visit in visits if tasks(estimate(VisitKind.INSTALL, *visit)) <= MOST_TASKS]
    counts = [tasks(estimate(VisitKind.INSTALL, *visit)) for visit in visits]
    print(f"{len(visits)} works of {mean(counts):.1f} tasks on average, {max(counts)} at most")
    for name, clock in (("by the clock", time.perf_counter), ("of one core", time.process_time)):
        print(f"{min(span_ms(visits, clock) for _ in range(ROUNDS)):.2f} ms an estimate, {name}")
    print(f"goal {GOAL_MS:g} ms; the two differ where others use the machine")


def span_ms(visits: list[tuple[Work, Team]], clock: Callable[[], float]) -> float:
    """How long one estimate takes, all of them after each other."""
    began = clock()
    for visit in visits:
        estimate(VisitKind.INSTALL, *visit)
    return (clock() - began) * 1000 / len(visits)


def tasks(hours: Estimate) -> int:
    return len(hours.tasks)


if __name__ == "__main__":
    main()
