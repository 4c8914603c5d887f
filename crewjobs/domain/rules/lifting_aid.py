"""The heaviest piece, by three methods, and whether one asks for an aid."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Piece, RouteKind, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.lifting import (
    AID_INDEX,
    SINGLE_KG,
    Hands,
    hands,
)
from crewjobs.domain.pieces import mass_kg

SOURCE = (
    "the shop's planning figure; UK HSE, L23, with 25 kg for one from memory; NIOSH 94-110 (2021)"
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
    flights = [e for e in job.work.route if e.kind is RouteKind.STAIRS]
    pitch = max((e.pitch_deg or 0.0 for e in flights), default=0.0)
    found = hands(heaviest, job.team.hands, pitch_deg=pitch, carrier_kg=job.carrier_kg)
    if found.asks_for_aid:
        unknown = any(each.pitch_deg is None for each in flights)
        yield Finding(
            code="lifting_aid",
            severity=Severity.WARN,
            message=_message(heaviest, found, unknown, job.team.hands),
            about=heaviest.name,
            source=SOURCE,
        )


def _message(piece: Piece, found: Hands, pitch_is_unknown: bool, people: int) -> str:
    team = found.guideline_people or "no team of up to three"
    said = (
        f"piece {piece.name} weighs {found.mass_kg:.0f} kg: {found.shop_people} people by the "
        f"shop's rule, {team} by the guideline of {SINGLE_KG:g} kg each, lifting index "
        f"{found.index_factor:.1f} for a team of {people} ({AID_INDEX:g} is the most). The lower "
        f"end bears {found.lower_share:.0%}. Bring a trolley, clamps or a crane. {CAUTION}"
    )
    return f"{said} The pitch of the stairs is not measured." if pitch_is_unknown else said
