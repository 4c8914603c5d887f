"""Who does what when on a visit, and what is done while adhesive hardens.

Knows a timeline and how many people there are; refuses to know who they are: people are numbered.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from crewjobs.domain.hours.network import Network, Timeline


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedTask:
    """One task of the working plan, in minutes from the start of the work."""

    name: str
    element: str
    start_min: float
    end_min: float
    hands: int
    """0 when only adhesive works."""
    is_critical: bool
    """Whether it is on the chain that decides the end."""
    people: tuple[int, ...] = ()
    """Who does it, from 1 to the size of the team."""


def tasks(network: Network, line: Timeline, whole_min: float) -> tuple[PlannedTask, ...]:
    """The tasks by their start, stretched to `whole_min`; the same network gives the same people.

    Each task takes those who have been free the shortest time: whoever brought a piece sets it.
    """
    stretch_factor = whole_min / line.makespan_min if line.makespan_min else 1.0
    chain = frozenset(line.chain)
    order = sorted(
        range(len(network.tasks)), key=lambda at: (line.starts_min[at], line.ends_min[at], at)
    )
    free = [(0.0, -number) for number in range(1, network.capacity[0] + 1)]
    found = []
    for at in order:
        task, start_min, end_min = network.tasks[at], line.starts_min[at], line.ends_min[at]
        people = _taken(free, task.demand[0], start_min, end_min)
        found.append(
            PlannedTask(
                name=task.name,
                element=next(iter(task.minutes)),
                start_min=start_min * stretch_factor,
                end_min=end_min * stretch_factor,
                hands=task.demand[0],
                is_critical=at in chain,
                people=people,
            )
        )
    return tuple(found)


def _taken(
    free: list[tuple[float, int]], count: int, start_min: float, end_min: float
) -> tuple[int, ...]:
    """The people for a task, who are busy until its end from now on."""
    ready = sorted((each for each in free if each[0] <= start_min + 1e-9), reverse=True)[:count]
    for each in ready:
        free[free.index(each)] = (end_min, each[1])
    return tuple(sorted(-number for _, number in ready))


def meanwhile(planned: Sequence[PlannedTask]) -> Mapping[str, tuple[str, ...]]:
    """The work that is done while each adhesive hardens, by the name of the wait.

    Examples
    --------
    >>> from crewjobs.domain.hours.network import Task, schedule
    >>> bond = Task(name="bond", demand=(1,), minutes={"seam": 9.0})
    >>> wait = Task(name="hardens", demand=(0,), minutes={"cure": 12.0}, after=(0,))
    >>> sink = Task(name="sink", demand=(1,), minutes={"sink": 20.0}, after=(0,))
    >>> net = Network(tasks=(bond, wait, sink), capacity=(1,))
    >>> plan = tasks(net, schedule(net), 29.0)
    >>> [(task.name, task.people) for task in plan]
    [('bond', (1,)), ('hardens', ()), ('sink', (1,))]
    >>> dict(meanwhile(plan))
    {'hardens': ('sink',)}
    """
    return {
        wait.name: tuple(
            task.name
            for task in planned
            if task.hands and task.start_min < wait.end_min and task.end_min > wait.start_min
        )
        for wait in planned
        if not wait.hands
    }
