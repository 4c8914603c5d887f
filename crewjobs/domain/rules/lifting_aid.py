"""The heaviest piece, by three methods, and whether one asks for an aid."""

from collections.abc import Iterator

from crewjobs.domain import carrying
from crewjobs.domain.facts import Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.lifting import AID_INDEX, MOST_CARRIERS, Hands, team_kg
from crewjobs.domain.pieces import mass_kg

SOURCE = (
    "the shop's planning figure; UK HSE, L23, with a limit of the shop for one; NIOSH 94-110 (2021)"
)
GUARDS: frozenset[Stage] = frozenset()
CAUTION = (
    "None of the three is a permission, and none covers stairs: local rules for lifting come first."
)


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning with all three numbers where one of them asks for an aid."""
    heaviest = max(job.work.pieces, key=mass_kg, default=None)
    if heaviest is None:
        return
    found = carrying.hands(job, heaviest)
    if found.asks_for_aid:
        value, limit, unit = _broken(job, found)
        yield Finding(
            code="lifting_aid",
            severity=Severity.WARN,
            message=_message(job, heaviest, found),
            about=heaviest.name,
            source=SOURCE,
            value=value,
            limit=limit,
            unit=unit,
        )


def _broken(job: Job, found: Hands) -> tuple[float, float, str]:
    """The first of the three numbers that asks for an aid, with its limit and unit."""
    if found.index_factor > AID_INDEX:
        return found.index_factor, AID_INDEX, "factor"
    if found.shop_people > MOST_CARRIERS:
        return found.shop_people, MOST_CARRIERS, "people"
    return found.mass_kg, team_kg(3, single_kg=job.limits.single_kg) or 0.0, "kg"


def _message(job: Job, piece: Piece, found: Hands) -> str:
    team = found.guideline_people or "no team of up to three"
    said = (
        f"piece {piece.name} weighs {found.mass_kg:.0f} kg: {found.shop_people} people by the "
        f"shop's rule, {team} by the guideline of {job.limits.single_kg:g} kg each, lifting index "
        f"{found.index_factor:.1f} for a team of {job.team.hands} ({AID_INDEX:g} is the most). The "
        f"lower end bears {found.lower_share:.0%}. Bring a trolley, clamps or a crane. {CAUTION}"
    )
    _, is_missing = carrying.stairs(job)
    return f"{said} The pitch of the stairs is not measured." if is_missing else said
