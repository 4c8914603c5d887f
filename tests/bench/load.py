"""How fast and how good load plans are: ``python -m tests.bench.load``.

Invented days of three stops. The goals: exact within 0.5 s at 12 and 6 s at 16 pieces, annealing
within 1 % of it on average and 10 % at worst, no plan called feasible that the judge rejects on
1,000 random days, at most half a re-handle a day at an overhang of 500 mm with a rack for strips.
Seconds are of one core.
"""

import time
from dataclasses import replace
from itertools import product
from random import Random
from statistics import mean

from crewjobs.domain.loading import Costs, annealing, exact, is_loadable, plan
from crewjobs.domain.loading.plans import ITERATIONS
from crewjobs.domain.loading.stacks import Stacks
from tests.domain.loading.days import ROOMY, random_day, random_frame
from tests.domain.loading.judge import judge

DAYS = 1_000
SIZES = (10, 12, 14, 16)
OVERHANGS_MM = (900, 500, 300, 200, 100)


def main() -> None:
    speed()
    asking()
    annealing_gap()
    judged()
    overhang()


def speed() -> None:
    for count in SIZES:
        times = []
        for seed in range(3):
            items = random_day(Random(seed), count)
            began = time.process_time()
            plan(items, ROOMY)
            times.append(time.process_time() - began)
        print(f"exact, {count} pieces: most {max(times):.2f} s")


def asking() -> None:
    """How fast the planner's question is answered; it asks anew only for a set never seen."""
    for count in (*SIZES, 18, 20, 24):
        times, yes = [], 0
        for seed in range(3):
            items, frame = random_day(Random(seed), count), replace(ROOMY, depth_mm=count * 21)
            began = time.process_time()
            yes += is_loadable(items, frame)
            times.append(time.process_time() - began)
        print(f"is it loadable, {count} pieces: most {1000 * max(times):.0f} ms, {yes} of 3 yes")


def annealing_gap() -> None:
    gaps, times = [], []
    for seed in range(30):
        stacks = Stacks(random_day(Random(seed), 9 + seed % 8), ROOMY, Costs())
        best = stacks.total_min(*exact.cheapest(stacks))
        began = time.process_time()
        found = stacks.total_min(*annealing.search(stacks, seed=seed, iterations=ITERATIONS))
        times.append(time.process_time() - began)
        gaps.append((found - best) / max(best, 1.0))
    print(
        f"annealing, 9 to 16 pieces, {mean(times):.1f} s: {sum(g < 1e-9 for g in gaps)} of 30 "
        f"optimal, above exact mean {mean(gaps):.2%}, most {max(gaps):.2%}"
    )


def judged() -> None:
    rng, wrong, feasible = Random(0), 0, 0
    for _ in range(DAYS):
        items, frame = random_day(rng, rng.randint(1, 9), rng.randint(1, 4)), random_frame(rng)
        found = plan(items, frame)
        feasible += found.is_feasible
        wrong += found.is_feasible and bool(judge(found, items, frame).problems)
    print(f"{DAYS} random days, {feasible} called feasible, {wrong} of them rejected by the judge")


def overhang() -> None:
    """With a rack for strips, and with strips on the frame, where nothing may lean on them."""
    days = [random_day(Random(seed), 10) for seed in range(30)]
    for rack_mm, limit in product((150, 0), OVERHANGS_MM):
        frame = replace(ROOMY, most_overhang_mm=limit, rack_height_mm=rack_mm)
        plans = [plan(items, frame) for items in days]
        broken = sum(not each.is_feasible for each in plans)
        again = mean(each.rehandles for each in plans)
        print(
            f"{'a rack for strips' if rack_mm else 'no rack'}, overhang up to {limit} mm: "
            f"{again:.2f} re-handles a day, {broken} of 30 break a rule"
        )


if __name__ == "__main__":
    main()
