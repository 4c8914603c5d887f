"""Published scheduling problems with known optima, read from a folder outside the repository.

PSPLIB, set j30 (Kolisch and Sprecher, European Journal of Operational Research 96, 1996, 205-216).
"""

import csv
import os
from pathlib import Path

from crewjobs.domain.hours.network import Network, Task, schedule

DATA = "CREWJOBS_BENCH_DATA"
"""Names the folder in which ``rcpsp/j30`` lies; unset, a folder ``shared`` beside the checkout."""


def folder() -> Path:
    beside = Path(__file__).parents[3] / "shared"
    return Path(os.environ.get(DATA, beside)) / "rcpsp" / "j30"


def gaps() -> dict[str, float]:
    """How far our makespan lies above the optimum, as a share of it, by instance."""
    with (folder() / "optimum.csv").open() as file:
        optimum = {row["problem"]: row["optimum"] for row in csv.DictReader(file)}
    return {
        path.name: schedule(read(path.read_text())).makespan_min / float(optimum[path.name]) - 1
        for path in sorted(folder().glob("*.sm"))
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
