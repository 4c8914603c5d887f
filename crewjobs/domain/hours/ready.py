"""A visit made ready for computing: its network, the orders tried, and what sets it apart.

Knows two ways in which the minutes of tasks make the hours of a visit: worked side by side as the
network allows, or one after the other with the hands shared evenly. Refuses to know any element by
name, and any pace.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import log
from statistics import fmean
from typing import NamedTuple

from crewjobs.domain.hours import working_plan
from crewjobs.domain.hours.network import Network, Timeline, orders, shortest
from crewjobs.domain.hours.steps import ON_SITE, Visit
from crewjobs.domain.pieces import mass_kg

WAIT_SHARES = (1.0, 3.0)
"""The order of the work is sought as if each wait took these shares of a mean task: whatever the
weather, the same few orders are tried, so that a warmer day never makes a visit longer. On 300
works a third share gained 0.08 % and cost a fifth of the time."""

SERIAL_TASKS_SHARE = 0.10
"""Not measured: the sum of squared shares of tasks when all are added up."""


class Spent(NamedTuple):
    """Minutes by element that decide the hours, in the order of the work, and how many tasks."""

    minutes: Mapping[str, float]
    tasks_share: float
    """The sum of the squared shares of the deciding tasks: the fewer, the less certain."""

    @property
    def whole_min(self) -> float:
        """All of them."""
        return sum(self.minutes.values()) or 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Ready:
    """A visit's network with the orders of work in which its shortest timeline is sought."""

    visit: Visit
    network: Network
    orders: tuple[tuple[int, ...], ...]
    trends: Mapping[str, float]
    """What sets the visit apart from a usual one, each about 0 and of the size of 1."""

    def timeline(self, factors: Mapping[str, float]) -> Timeline:
        """The shortest timeline when elements take these factors of their standard minutes."""
        return shortest(self.network, self.orders, self.network.durations_min(factors))

    def side_by_side(self, factors: Mapping[str, float]) -> Spent:
        """The minutes on the chain that decides the end of the network."""
        return on_chain(self.network, self.timeline(factors), factors)

    def added_up(self, factors: Mapping[str, float]) -> Spent:
        """Hand minutes over hands, and every wait waited for."""
        found: dict[str, float] = {}
        capacity = self.network.capacity[0]
        for task in self.network.tasks:
            share = task.demand[0] / capacity if task.demand[0] else 1.0
            for element, minutes in task.minutes.items():
                spent_min = share * minutes * factors.get(element, 1.0)
                found[element] = found.get(element, 0.0) + spent_min
        return Spent(found, SERIAL_TASKS_SHARE)

    def element_min(self, element: str) -> float:
        """The standard minutes of an element, all its tasks from start to end added up."""
        return sum(task.minutes.get(element, 0.0) for task in self.network.tasks)


def ready(visit: Visit, standard: Mapping[str, float]) -> Ready:
    """A visit with the network of its tasks.

    Raises
    ------
    ValueError
        As :func:`working_plan.network`.
    """
    network = working_plan.network(visit, standard)
    return Ready(
        visit=visit,
        network=network,
        orders=orders(network, _assumed(network)),
        trends=_trends(visit, network),
    )


def rest(whole: Ready, network: Network) -> Ready:
    """The same visit with only these tasks of it left."""
    return replace(whole, network=network, orders=orders(network, _assumed(network)))


def on_chain(network: Network, line: Timeline, factors: Mapping[str, float]) -> Spent:
    """The minutes by element on a timeline's deciding chain."""
    found: dict[str, float] = {}
    squares = 0.0
    for place in line.chain:
        task, whole_min = network.tasks[place], 0.0
        for element, minutes in task.minutes.items():
            spent_min = minutes * factors.get(element, 1.0)
            whole_min += spent_min
            found[element] = found.get(element, 0.0) + spent_min
        if any(task.demand):
            squares += whole_min**2
    return Spent(found, squares / (line.makespan_min or 1.0) ** 2)


def _assumed(network: Network) -> list[list[float]]:
    """Durations by which the order of the work is sought: usual ones, but waits short and long."""
    usual_min = network.durations_min()
    waits = [not any(task.demand) for task in network.tasks]
    if not any(waits) or all(waits):
        return [usual_min]
    pairs = tuple(zip(usual_min, waits, strict=True))
    mean_min = fmean(span_min for span_min, only_waits in pairs if not only_waits)
    return [
        [share * mean_min if only_waits else span_min for span_min, only_waits in pairs]
        for share in WAIT_SHARES
    ]


TRENDS = ("size", "hands", "pieces", "mass", "depth", "way", "waiting")
"""What may make a whole visit slower or quicker than its parts say."""


def _trends(visit: Visit, network: Network) -> dict[str, float]:
    slabs = visit.slabs
    if visit.kind not in ON_SITE or not slabs:
        return dict.fromkeys(TRENDS, 0.0)
    hand_min = sum(task.demand[0] * sum(task.minutes.values()) for task in network.tasks)
    lone_min = sum(sum(task.minutes.values()) for task in network.tasks if task.demand[0] == 1)
    wait_min = sum(sum(task.minutes.values()) for task in network.tasks if not task.demand[0])
    return {
        "size": log(max(hand_min, 1.0) / 300),
        "hands": log(visit.team.hands / 2),
        "pieces": log(len(slabs) / 3),
        "mass": log(max(5.0, fmean(mass_kg(piece) for piece in slabs)) / 80),
        "depth": lone_min / max(hand_min, 1.0) - 0.35,
        "way": log((visit.walk_m + 10 * visit.work.flights + 5.0) / 25),
        "waiting": wait_min / max(hand_min, 1.0) - 0.1,
    }
