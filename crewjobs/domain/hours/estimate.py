"""How long a visit takes: the hours that half of such visits keep, and those that 80 and 90 % keep.

Knows the shortest working plan that list scheduling finds and where its minutes come from; refuses
to know any element by name, and how factors are learned.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, log
from statistics import NormalDist, fmean

from crewjobs.domain import lifting
from crewjobs.domain.facts import Piece, PieceKind, Team, VisitKind, Work
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.hours import elements, standards, working_plan
from crewjobs.domain.hours.factors import Factors, sd_log
from crewjobs.domain.hours.network import Network, Timeline, chain_minutes, schedule
from crewjobs.domain.hours.steps import ON_SITE, Visit
from crewjobs.domain.pieces import mass_kg

Z80, Z90 = NormalDist().inv_cdf(0.8), NormalDist().inv_cdf(0.9)
"""Where 80 and 90 % of a standard normal distribution lie below."""

WAIT_SHARES = (0.5, 1.5, 4.0)
"""The order of the work is sought as if each wait took these shares of a mean task: whatever the
weather, the same few orders are tried, so that a warmer day never makes a visit longer."""

UNCHANGED: Mapping[str, float] = {}
"""Every standard time as its element gives it."""

UNLEARNED = Factors()
"""Before any job is done."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One line of the breakdown."""

    title: str
    value_min: float
    note: str = ""
    element: str = ""
    """The element's name; empty for a factor on the whole."""


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Estimate:
    """The hours of a visit, where they come from, and how the work may run."""

    p50_min: float
    p80_min: float
    p90_min: float
    sd_log: float
    lines: tuple[Line, ...]
    """In the order of the work; they add up to ``p50_min``."""
    tasks: tuple[PlannedTask, ...]
    """By their start."""
    findings: tuple[Finding, ...]


def estimate(
    visit_kind: VisitKind,
    work: Work,
    team: Team,
    *,
    standard: Mapping[str, float] = UNCHANGED,
    factors: Factors = UNLEARNED,
    carrier_kg: float = lifting.CARRIER_KG,
) -> Estimate:
    """The on-site hours of a visit, without the drive.

    `standard` holds what the shop has changed, by the names that ``standard_minutes()`` lists.

    Raises
    ------
    ValueError
        If a standard time is unknown, negative or no number, if `carrier_kg` is not above zero, or
        if a piece encloses no stone.

    References
    ----------
    The hours are taken as log-normal about the median. Lines of factors on the whole: the
    logarithmic mean, which leaves no rest (LMDI: Ang, Energy Policy 33, 2005, 867-871).

    Examples
    --------
    >>> kitchen = Work(cabinet_run_mm=4000, tear_out_mm=4000)
    >>> hours = estimate(VisitKind.INSTALL, kitchen, Team(hands=2))
    >>> round(hours.p50_min, 2), [(line.element, round(line.value_min, 2)) for line in hours.lines]
    (104.65, [('arrive', 19.55), ('tear_out', 48.3), ('level', 16.1), ('finish', 20.7)])
    """
    standards.check(standard)
    visit = Visit(kind=visit_kind, work=work, team=team, carrier_kg=carrier_kg)
    network = working_plan.network(visit, standard)
    line = schedule(network, factors.elements, assumed=_assumed(network))
    p50_min = line.makespan_min * factors.whole_factor
    sd = sd_log(network, line, factors)
    return Estimate(
        p50_min=p50_min,
        p80_min=p50_min * exp(Z80 * sd),
        p90_min=p50_min * exp(Z90 * sd),
        sd_log=sd,
        lines=(*_element_lines(network, line, factors), *_whole_lines(line, factors)),
        tasks=_planned(network, line, factors.whole_factor),
        findings=tuple(_findings(visit)),
    )


def _assumed(network: Network) -> list[list[float]]:
    """Durations by which the order of the work is sought: usual ones, but waits short and long."""
    usual_min = network.durations_min()
    waits = [not any(task.demand) for task in network.tasks]
    if not any(waits):
        return [usual_min]
    pairs = tuple(zip(usual_min, waits, strict=True))
    mean_min = fmean(span_min for span_min, only_waits in pairs if not only_waits)
    return [
        [share * mean_min if only_waits else span_min for span_min, only_waits in pairs]
        for share in WAIT_SHARES
    ]


def _element_lines(network: Network, line: Timeline, factors: Factors) -> Iterator[Line]:
    """Each element's minutes on the chain; work beside it takes none."""
    on_chain = chain_minutes(network, line, factors.elements)
    titles = {element.name: element.title for element in elements.found()}
    beside: dict[str, float] = {}
    for place in sorted(range(len(network.tasks)), key=line.starts_min.__getitem__):
        for element, minutes in network.tasks[place].minutes.items():
            beside.setdefault(element, 0.0)
            if place not in line.chain:
                beside[element] += minutes * factors.elements.get(element, 1.0)
    for element, minutes in beside.items():
        note = f"{minutes:.0f} min in parallel" if minutes else ""
        value_min = on_chain.get(element, 0.0)
        yield Line(title=titles[element], value_min=value_min, note=note, element=element)


def _whole_lines(line: Timeline, factors: Factors) -> Iterator[Line]:
    """What each factor on the whole adds, by the logarithmic mean of without and with them."""
    total_log = log(factors.whole_factor)
    change_min = line.makespan_min * (factors.whole_factor - 1)
    mean_min = change_min / total_log if abs(total_log) > 1e-12 else line.makespan_min
    for name, factor in factors.whole.items():
        yield Line(title=name, value_min=mean_min * log(factor), note=f"factor {factor:.2f}")


def _planned(network: Network, line: Timeline, whole_factor: float) -> tuple[PlannedTask, ...]:
    places = sorted(range(len(network.tasks)), key=lambda p: (line.starts_min[p], line.ends_min[p]))
    return tuple(
        PlannedTask(
            name=network.tasks[place].name,
            element=next(iter(network.tasks[place].minutes)),
            start_min=line.starts_min[place] * whole_factor,
            end_min=line.ends_min[place] * whole_factor,
            hands=network.tasks[place].demand[0],
            is_critical=place in line.chain,
        )
        for place in places
    )


def _findings(visit: Visit) -> Iterator[Finding]:
    """Pieces that this team, or any people without an aid, had better not carry."""
    if visit.kind in ON_SITE:
        for piece in visit.work.pieces:
            wanted = visit.wanted[piece.name]
            if piece.kind is not PieceKind.BACKSPLASH:
                wanted = max(2, wanted)
            if wanted > lifting.MOST_CARRIERS:
                yield _heavy(visit, piece, wanted, "needs_lifting_aid")
            elif wanted > visit.team.hands:
                yield _heavy(visit, piece, wanted, "too_few_carriers")


def _heavy(visit: Visit, piece: Piece, wanted: int, code: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.WARN,
        message=(
            f"piece {piece.name} weighs {mass_kg(piece):.0f} kg: at {visit.carrier_kg:g} kg each "
            f"it wants {wanted} people, the team has {visit.team.hands} and no more than "
            f"{lifting.MOST_CARRIERS} carry well together; send more people or a lifting aid. "
            "A planning figure, no health limit: follow the local rules for lifting"
        ),
        about=piece.name,
        source="the shop's share of one person; UK HSE, guidance L23, on lifting in teams",
    )
