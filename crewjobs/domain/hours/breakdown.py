"""Where the minutes of an estimate come from, in lines that add up to it.

Knows the chain that decides the end and the pace of a model; refuses to know any element by name.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, log

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.model import Model, Outlook
from crewjobs.domain.hours.network import Network, Timeline
from crewjobs.domain.hours.pace import DRIFT, LEVEL, crew_column, element_column
from crewjobs.domain.hours.ready import Ready, on_chain

PACE_TITLE = "the shop's pace"
DRIFT_TITLE = "the shop's pace of late"
CREW_TITLE = "the pace of the crew"
STRUCTURE_TITLE = "structure correction"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One line of the breakdown."""

    title: str
    value_min: float
    note: str = ""
    element: str = ""
    """The element's name; empty for a factor on the whole."""


def lines(ready: Ready, outlook: Outlook, model: Model) -> tuple[Line, ...]:
    """The elements in the order of the work, then what holds for the whole.

    References
    ----------
    Factors on the whole become minutes by the logarithmic mean, which leaves no rest (LMDI: Ang,
    Energy Policy 33, 2005, 867-871).
    """
    pace = model.network
    own = {e.name: exp(pace.log(element_column(e.name))) for e in elements.found()}
    spent = on_chain(ready.network, outlook.line, own).minutes
    work_min = sum(minutes for name, minutes in spent.items() if not elements.waits(name))
    shop = {PACE_TITLE: pace.log(LEVEL), DRIFT_TITLE: pace.log(DRIFT)}
    whole_min = sum(spent.values()) + work_min * (exp(sum(shop.values())) - 1)
    crew = ready.visit.team.name
    crew_log = pace.log(crew_column(crew))
    rest_log = outlook.mean_log - log(whole_min or 1.0) - crew_log
    return (
        *_element_lines(ready.network, outlook.line, spent, own),
        *_shared(work_min, shop),
        *_shared(whole_min, {f"{CREW_TITLE} {crew}": crew_log, STRUCTURE_TITLE: rest_log}),
    )


def _element_lines(
    network: Network, line: Timeline, spent: Mapping[str, float], own: Mapping[str, float]
) -> Iterator[Line]:
    """Each element's minutes on the chain; work beside it takes none."""
    titles = {element.name: element.title for element in elements.found()}
    beside: dict[str, float] = {}
    chain = frozenset(line.chain)
    for place in sorted(range(len(network.tasks)), key=line.starts_min.__getitem__):
        for element, minutes in network.tasks[place].minutes.items():
            beside.setdefault(element, 0.0)
            if place not in chain:
                beside[element] += minutes * own[element]
    for element, minutes in beside.items():
        note = f"{minutes:.0f} min in parallel" if minutes else ""
        value_min = spent.get(element, 0.0)
        yield Line(title=titles[element], value_min=value_min, note=note, element=element)


def _shared(base_min: float, logs: Mapping[str, float]) -> Iterator[Line]:
    """What each factor adds to a base, by the logarithmic mean of without and with all of them."""
    total_log = sum(logs.values())
    change_min = base_min * (exp(total_log) - 1)
    mean_min = change_min / total_log if abs(total_log) > 1e-12 else base_min
    for title, part_log in logs.items():
        if abs(part_log) > 1e-12:
            note = f"factor {exp(part_log):.2f}"
            yield Line(title=title, value_min=mean_min * part_log, note=note)
