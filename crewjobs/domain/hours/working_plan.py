"""What all elements together ask of a visit, as one network of tasks.

Knows how steps find each other by milestones, what rest and missing hands cost, and which standard
minutes the shop has changed; refuses to know any element by name.
"""

from collections.abc import Iterator, Mapping

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.network import Network, Task
from crewjobs.domain.hours.steps import Extra, Goal, Milestone, Step, Visit

ALLOWANCE_SHARE = 0.15
"""Personal needs 5 %, basic fatigue 4 % (ILO, Introduction to Work Study, 4th ed. 1992, appendix 3,
quoted from memory) and 6 % for delays (not measured)."""

MISSING_HAND_SHARE = 0.35
"""Not measured: how much longer a step takes for each hand that it wants and the team lacks."""


def allowed_min(normal_min: float, *, allowance_share: float = ALLOWANCE_SHARE) -> float:
    """The time with rest and delays, by the convention that adds a share of the normal time.

    References
    ----------
    Standard time = normal time x (1 + allowance). The other convention in use divides the normal
    time by (1 - allowance), which gives 47.06 min in this example.

    Examples
    --------
    >>> round(allowed_min(40), 6)
    46.0
    """
    return normal_min * (1 + allowance_share)


def network(visit: Visit, standard: Mapping[str, float]) -> Network:
    """The tasks of a visit for its team; the hands of the team are the only resource.

    Raises
    ------
    ValueError
        If the elements wait for each other in a circle, or a piece has no mass.
    """
    steps: list[tuple[str, Step]] = []
    extras: dict[Goal, list[tuple[str, float]]] = {}
    for element, item in _items(visit, standard):
        if isinstance(item, Step):
            steps.append((element, item))
        else:
            extras.setdefault(item.goal, []).append((element, item.normal_min))
    reached = _reached([step for _, step in steps])
    tasks = []
    for element, step in steps:
        added = extras.get(step.reaches, ()) if step.reaches else ()
        tasks.append(_task(step, [(element, step.normal_min), *added], visit.team.hands, reached))
    return Network(tasks=tuple(tasks), capacity=(visit.team.hands,))


def goals(visit: Visit, standard: Mapping[str, float]) -> tuple[Goal | None, ...]:
    """What each task of the visit's network reaches, in the order of its tasks."""
    items = (item for _, item in _items(visit, standard))
    return tuple(item.reaches for item in items if isinstance(item, Step))


def _items(visit: Visit, standard: Mapping[str, float]) -> Iterator[tuple[str, Step | Extra]]:
    for element in elements.found():
        if visit.kind in element.visits:
            for item in element.steps(visit, element.minutes(standard)):
                yield element.name, item


def _reached(steps: list[Step]) -> dict[Goal, list[int]]:
    """The places of the steps that reach each goal."""
    everything = Goal(Milestone.ALL_WORK)
    found: dict[Goal, list[int]] = {everything: []}
    for place, step in enumerate(steps):
        if step.reaches:
            for goal in {step.reaches, Goal(step.reaches.milestone)}:
                found.setdefault(goal, []).append(place)
        if everything not in step.after:
            found[everything].append(place)
    return found


def _task(
    step: Step, parts: list[tuple[str, float]], hands: int, reached: Mapping[Goal, list[int]]
) -> Task:
    taken = min(step.hands, hands)
    slower_factor = 1 + MISSING_HAND_SHARE * (step.hands - taken)
    minutes: dict[str, float] = {}
    for element, normal_min in parts:
        part_min = allowed_min(normal_min) * slower_factor if taken else normal_min
        minutes[element] = minutes.get(element, 0.0) + part_min
    after = {place for goal in step.after for place in reached.get(goal, ())}
    return Task(name=step.name, demand=(taken,), minutes=minutes, after=tuple(sorted(after)))
