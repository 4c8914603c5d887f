"""What is known of a shop's pace beside its standard minutes, and how far off the hours may be.

Knows the prior, which holds before any job is done; refuses to know how the rest is learned.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite, prod, sqrt

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.network import Network, Timeline


@dataclass(frozen=True, kw_only=True, slots=True)
class Spread:
    """How far off the hours may be: standard deviations of their logarithm, not measured."""

    level_log: float = 0.25
    """The shop's pace over all work; adhesive does not care."""
    element_log: float = 0.25
    """The pace of each element by itself."""
    wait_log: float = 0.10
    """How long adhesive takes."""
    crew_log: float = 0.10
    """The pace of the crew."""
    job_log: float = 0.18
    """What makes one job unlike another."""
    task_log: float = 0.25
    """Each task by itself: a visit of few tasks is less certain."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Factors:
    """Factors on the standard minutes; none before any job is done.

    Raises
    ------
    ValueError
        If a factor is not above zero, or names no element.
    """

    elements: Mapping[str, float] = field(default_factory=dict)
    """A factor on an element's minutes, by the element's name."""
    whole: Mapping[str, float] = field(default_factory=dict)
    """Further factors on the whole, the crew's or the shop's, by what a reader calls them."""
    spread: Spread = Spread()

    def __post_init__(self) -> None:
        for name, factor in (*self.elements.items(), *self.whole.items()):
            if not isfinite(factor) or factor <= 0:
                raise ValueError(f"the factor {name} is {factor:g}, it must be more than 0")
        known = {element.name for element in elements.found()} if self.elements else set()
        if unknown := sorted(self.elements.keys() - known):
            raise ValueError(f"there is no element {unknown[0]}")

    @property
    def whole_factor(self) -> float:
        """All factors on the whole together."""
        return prod(self.whole.values())


def sd_log(network: Network, line: Timeline, factors: Factors) -> float:
    """The standard deviation of the logarithm of a timeline's length.

    References
    ----------
    Independent causes: their variances add up, those of elements and single tasks by the square
    of their share of the deciding chain, since to first order only the chain moves the end.

    Examples
    --------
    >>> from crewjobs.domain.hours.network import Task, schedule
    >>> net = Network(tasks=(Task(name="a", demand=(1,), minutes={"a": 9.0}),), capacity=(1,))
    >>> round(sd_log(net, schedule(net), Factors()) ** 2, 4)  # three of 0.25, one of 0.10, of 0.18
    0.2299
    """
    whole_min = line.makespan_min or 1.0
    work_shares: dict[str, float] = {}
    wait_share = tasks_share = 0.0
    for place in line.chain:
        task, task_share = network.tasks[place], 0.0
        for element, minutes in task.minutes.items():
            share = minutes * factors.elements.get(element, 1.0) / whole_min
            task_share += share
            if any(task.demand):
                work_shares[element] = work_shares.get(element, 0.0) + share
        if any(task.demand):
            tasks_share += task_share**2
        else:
            wait_share += task_share
    spread = factors.spread
    return sqrt(
        (spread.level_log * (1 - wait_share)) ** 2
        + spread.element_log**2 * sum(share**2 for share in work_shares.values())
        + (spread.wait_log * wait_share) ** 2
        + spread.crew_log**2
        + spread.job_log**2
        + spread.task_log**2 * tasks_share
    )
