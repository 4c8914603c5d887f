"""Long routes through our interface: ``python -m tests.bench.vrptw --seconds 10``.

Solomon and Homberger instances, distances truncated to one decimal, total distance, no cost for a
vehicle: the convention of their best known values here. Needs the data beside the checkout.
"""

import argparse
import time
from pathlib import Path
from statistics import mean

import numpy as np

from crewjobs.domain.scheduling import Costs, CrewDay, Place, Problem, Visit, Window, solve, verify
from tests.bench import rcpsp
from tests.bench.crew_boards import MONDAY
from tests.bench.crew_words import cpu_stop

TENTHS = 10
"""All lengths and times count in tenths, so that a decimal is a whole number."""


class Plane:
    """Drives by distance in a plane; a place's latitude and longitude hold thousandths."""

    def minutes(self, places):
        at = np.array([(place.at_lat, place.at_lon) for place in places]) * 1000
        away = np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1))
        return np.floor(away * TENTHS + 1e-9).astype(np.int64)


def read(path: Path) -> Problem:
    """An instance as a board of one day: a crew-day for each vehicle."""
    lines = [line.split() for line in path.read_text().splitlines() if line.strip()]
    numbers = [list(map(int, line)) for line in lines if all(word.isdigit() for word in line)]
    (vehicles, capacity), *rows = numbers
    (_, x, y, _, _, horizon, _), *customers = rows
    depot = Place(at_lat=x / 1000, at_lon=y / 1000)
    return Problem(
        crew_days=tuple(
            CrewDay(
                crew=f"{n:03}",
                day=MONDAY,
                depot=depot,
                shift_start_min=0,
                shift_end_min=horizon * TENTHS,
                max_overtime_min=0,
                payload_kg=capacity,
                pause=None,
            )
            for n in range(vehicles)
        ),
        visits=tuple(
            Visit(
                id=f"{name:04}",
                place=Place(at_lat=x / 1000, at_lon=y / 1000),
                duration_min=service * TENTHS,
                windows=(Window(day=MONDAY, earliest_min=ready * TENTHS, latest_min=due * TENTHS),),
                mass_kg=demand,
            )
            for name, x, y, demand, ready, due, service in customers
        ),
        costs=Costs(drive=1, crew_day=0, unplaced=(10**5,) * 3),
        travel=Plane(),
    )


def best_known(path: Path) -> float:
    (cost,) = (line for line in path.with_suffix(".sol").read_text().splitlines() if "Cost" in line)
    return float(cost.split()[-1])


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--seconds", type=float, default=10)
    asked.add_argument("--set", choices=["solomon", "homberger"], default="solomon")
    given = asked.parse_args()
    folder = rcpsp.folder().parents[1] / "vrptw" / given.set
    if not folder.is_dir():
        raise SystemExit(f"there is no {folder}; name the data's folder in {rcpsp.DATA}")
    gaps = []
    for path in sorted(folder.glob("*.txt")):
        problem = read(path)
        began_s = time.process_time()
        plan = solve(problem, seed=1, stop=cpu_stop(given.seconds))
        took_s = time.process_time() - began_s
        if (broken := verify(problem, plan)) or plan.unplaced:
            raise SystemExit(f"{path.name}: {broken[:1] or len(plan.unplaced)}")
        gaps.append(plan.cost.total / TENTHS / best_known(path) - 1)
        print(f"{path.stem:10} {plan.cost.total / TENTHS:9.1f} {gaps[-1]:7.2%}  {took_s:5.1f} s")
    print(f"mean of {len(gaps)}: {mean(gaps):.2%}")


if __name__ == "__main__":
    main()
