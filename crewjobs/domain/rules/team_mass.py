"""The team is large enough to carry the heaviest piece, by the shop's own rule."""

from collections.abc import Iterator

from crewjobs.domain.facts import Job, Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.lifting import MOST_CARRIERS, carriers
from crewjobs.domain.pieces import mass_kg

SOURCE = "the shop's planning figure for one person; at most four carry together (UK HSE, L23)"
GUARDS: frozenset[Stage] = frozenset()
CAUTION = (
    "A planning figure, no health limit: it does not know stairs, grip or the people themselves. "
    "Local rules for lifting come first."
)


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each piece that wants more hands than come, or than can carry together.

    No warning means that this rule found nothing; it certifies no lift.
    """
    hands = min(job.team.hands, MOST_CARRIERS)
    for piece in job.work.pieces:
        wanted = carriers(piece, carrier_kg=job.carrier_kg, alone_mm=job.limits.alone_most_mm)
        if wanted > hands:
            yield Finding(
                code="team_mass",
                severity=Severity.WARN,
                message=(
                    f"piece {piece.name} ({mass_kg(piece):.0f} kg) asks for {wanted} people at "
                    f"{job.carrier_kg:g} kg each, there are {hands}: {_remedy(wanted)}. {CAUTION}"
                ),
                about=piece.name,
                source=SOURCE,
                value=wanted,
                limit=hands,
                unit="people",
            )


def _remedy(wanted: int) -> str:
    if wanted > MOST_CARRIERS:
        return "bring a lifting aid, or cut it into more pieces"
    return "send more people or bring a lifting aid"
