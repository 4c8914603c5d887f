"""Published scheduling problems with known optima, read from a folder outside the repository.

PSPLIB, sets j30 and j60 (Kolisch and Sprecher, European Journal of Operational Research 96, 1996,
205-216): the makespans are optimal for j30, the best known for j60.
"""

import csv
import os
from collections.abc import Callable
from pathlib import Path

from crewjobs.domain.hours.network import Network, Task, Timeline, schedule

DATA = "CREWJOBS_BENCH_DATA"
"""Names the folder in which ``rcpsp/j30`` lies; unset, a folder ``shared`` beside the checkout."""


def folder(name: str = "j30") -> Path:
    beside = Path(__file__).parents[3] / "shared"
    return Path(os.environ.get(DATA, beside)) / "rcpsp" / name


def gaps(name: str = "j30", planned: Callable[[Network], Timeline] = schedule) -> dict[str, float]:
    """How far our makespan lies above the best known, as a share of it, by instance."""
    with (folder(name) / "optimum.csv").open() as file:
        best = {row["problem"]: row["optimum"].split("..")[-1] for row in csv.DictReader(file)}
    return {
        path.name: planned(read(path.read_text())).makespan_min / float(best[path.name]) - 1
        for path in sorted(folder(name).glob("*.sm"))
    }


def read(text: str) -> Network:
    """A problem in the single-mode format: successors, durations and demands, capacities."""
    successors = [numbers[3:] for numbers in rows(text, "PRECEDENCE RELATIONS")]
    requests = rows(text, "REQUESTS/DURATIONS")
    (capacity,) = rows(text, "RESOURCEAVAILABILITIES")
    after: list[list[int]] = [[] for _ in requests]
    for place, names in enumerate(successors):
        for name in names:
            after[name - 1].append(place)
    return Network(
        tasks=tuple(
            Task(name=str(job), demand=tuple(demand), minutes={"work": span}, after=tuple(places))
            for (job, _, span, *demand), places in zip(requests, after, strict=True)
        ),
        capacity=tuple(capacity),
    )


def rows(text: str, heading: str) -> list[list[int]]:
    """The lines of numbers of one section."""
    section = text.split(heading)[1].split("****")[0]
    lines = (line.split() for line in section.splitlines())
    return [[int(word) for word in line] for line in lines if line and all(map(str.isdigit, line))]
