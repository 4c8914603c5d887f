"""How long a visit takes: the hours that half of such visits keep, and those that 80 and 90 % keep.

Knows the shortest working plan that list scheduling finds and where its minutes come from; refuses
to know any element by name, and how factors are learned.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from crewjobs.domain import lifting
from crewjobs.domain.facts import Piece, PieceKind, Team, VisitKind, Work
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.hours import breakdown, crew_plan, standards
from crewjobs.domain.hours.breakdown import Line
from crewjobs.domain.hours.crew_plan import PlannedTask
from crewjobs.domain.hours.model import UNCHANGED, Model
from crewjobs.domain.hours.order_search import shortest_found
from crewjobs.domain.hours.ready import ready
from crewjobs.domain.hours.steps import ON_SITE, Visit
from crewjobs.domain.pieces import mass_kg


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
    carrier_kg: float = lifting.CARRIER_KG,
    model: Model | None = None,
) -> Estimate:
    """The on-site hours of a visit, without the drive.

    `standard` holds what the shop has changed, by the names that ``standard_minutes()`` lists. A
    `model` brings its own standard minutes and its own `carrier_kg`, those it was learned with.

    Raises
    ------
    ValueError
        If a standard time is unknown, negative or no number, if `carrier_kg` is not above zero, or
        if a piece encloses no stone.

    References
    ----------
    The hours are taken as log-normal about the median until finished visits tell otherwise.

    Examples
    --------
    >>> kitchen = Work(cabinet_run_mm=4000, tear_out_mm=4000)
    >>> hours = estimate(VisitKind.INSTALL, kitchen, Team(hands=2))
    >>> round(hours.p50_min, 2), [(line.element, round(line.value_min)) for line in hours.lines]
    (109.25, [('arrive', 20), ('tear_out', 48), ('drawers', 5), ('level', 16), ('finish', 21)])
    """
    standards.check(standard)
    known = model or Model(standard=standard, carrier_kg=carrier_kg)
    visit = Visit(kind=visit_kind, work=work, team=team, carrier_kg=known.carrier_kg)
    planned = ready(visit, known.standard)
    outlook = known.outlook(planned)
    p50_min, p80_min, p90_min = known.limits_min(outlook)
    return Estimate(
        p50_min=p50_min,
        p80_min=p80_min,
        p90_min=p90_min,
        sd_log=outlook.sd_log,
        lines=breakdown.lines(planned, outlook, known),
        tasks=crew_plan.tasks(planned.network, outlook.line, p50_min),
        findings=tuple(_findings(visit)),
    )


def shorter(
    visit_kind: VisitKind, work: Work, team: Team, *, model: Model
) -> tuple[tuple[PlannedTask, ...], float]:
    """A shorter order of the work, sought for about a second, and the minutes that it would save.

    The estimate itself stays: crews have not worked by this order so far.

    Raises
    ------
    ValueError
        As :func:`estimate`.
    """
    planned = ready(
        Visit(kind=visit_kind, work=work, team=team, carrier_kg=model.carrier_kg), model.standard
    )
    outlook = model.outlook(planned)
    p50_min = model.limits_min(outlook)[0]
    found = shortest_found(planned.network, model.network.factors)
    left_share = 1.0
    if outlook.line.makespan_min:
        left_share = min(1.0, found.makespan_min / outlook.line.makespan_min)
    line = found if left_share < 1 else outlook.line
    tasks = crew_plan.tasks(planned.network, line, p50_min * left_share)
    return tasks, p50_min * (1 - left_share)


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
