"""How long an estimate takes: ``python -m tests.bench.estimate``.

Invented works with some 17 tasks on average, one thread. The goal: 1 ms for one estimate.
"""

import time
from random import Random
from statistics import mean

from crewjobs.domain.facts import VisitKind
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
    spans_ms = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        for visit in visits:
            estimate(VisitKind.INSTALL, *visit)
        spans_ms.append((time.perf_counter() - began) * 1000 / len(visits))
    print(f"{len(visits)} works of {mean(counts):.1f} tasks on average, {max(counts)} at most")
    print(f"{min(spans_ms):.2f} ms an estimate (rounds: {[round(s, 2) for s in spans_ms]})")
    print(f"goal {GOAL_MS:g} ms")


def tasks(hours: Estimate) -> int:
    return len(hours.tasks)


if __name__ == "__main__":
    main()
