"""The rows of finished visits into what the hours are learned from. Reads only."""

from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from crewjobs.domain import hours
from crewjobs.domain.facts import Team, VisitKind
from crewjobs.domain.hours.accuracy import Pair
from crewjobs.domain.progress import timed_min
from crewjobs.models import Learned, Shop, Visit
from crewjobs.snapshots.jobs import WHOLE_JOB, visit_reports, work

REPORTS = ("reports__piece", "reports__seam")

MOST_FORETOLD = 2000
"""A shop's last two years or so."""


def finished_visits() -> QuerySet[Visit]:
    """Visits that were worked to their end and clocked, with what they were about."""
    return (
        Visit.objects.learned_from()
        .select_related("job")
        .prefetch_related(
            "pieces", "placements__crew", *REPORTS, *(f"job__{name}" for name in WHOLE_JOB)
        )
        .order_by("finished_at", "pk")
    )


def finished(of: Shop) -> Iterator[hours.Finished]:
    """What the shop learns from, the excluded ones left out."""
    zone = ZoneInfo(of.time_zone)
    for row in finished_visits().exclude(learned=Learned.EXCLUDED):
        if row.finished_at and row.actual_min:
            yield hours.Finished(
                name=str(row.pk),
                visit_kind=VisitKind(row.kind),
                work=work(row.job, only=row.pieces.all()),
                team=team(row),
                actual_min=row.actual_min,
                finished_on=row.finished_at.astimezone(zone).date(),
                element_minutes=timed_min(visit_reports(row)),
                is_confirmed=row.learned == Learned.CONFIRMED,
            )


@dataclass(frozen=True, kw_only=True, slots=True)
class Foretold:
    """A finished visit and the estimate that was in force when it began."""

    visit: Visit
    pair: Pair


def foretold(of: Shop) -> list[Foretold]:
    """What was foretold of the newest finished visits, the excluded ones left out; oldest first."""
    zone = ZoneInfo(of.time_zone)
    found = (
        Visit.objects.learned_from()
        .exclude(learned=Learned.EXCLUDED)
        .filter(p50_min__gt=0)
        .select_related("job", "hours_model")
        .defer("hours_model__content")
        .prefetch_related("placements__crew", *REPORTS)
        .order_by("-finished_at", "pk")
    )
    return [Foretold(visit=row, pair=_pair(row, zone)) for row in reversed(found[:MOST_FORETOLD])]


def _pair(row: Visit, zone: ZoneInfo) -> Pair:
    if row.finished_at is None or row.actual_min is None:
        raise ValueError(f"visit {row.pk} is not finished")
    return Pair(
        finished_on=row.finished_at.astimezone(zone).date(),
        crew=team(row).name,
        p50_min=row.p50_min,
        p80_min=row.p80_min,
        p90_min=row.p90_min,
        actual_min=row.actual_min,
        element_pairs=dict(_element_pairs(row)),
    )


def _element_pairs(row: Visit) -> Iterator[tuple[str, tuple[float, float]]]:
    """Of elements timed by reports, their share of the P50 and what they took, by title."""
    parts = {line["element"]: line for line in row.hours_lines if line.get("element")}
    whole_min = sum(line["minutes"] for line in parts.values())
    for element, actual_min in timed_min(visit_reports(row)).items():
        if element in parts and parts[element]["minutes"] > 0:
            part = parts[element]
            yield part["name"], (part["minutes"] / whole_min * row.p50_min, actual_min)


def team(row: Visit) -> Team:
    """The hands that a visit asks for, and the crew that has it; once begun, the last that had."""
    places = sorted(
        (place for place in row.placements.all() if row.started_at or place.withdrawn_at is None),
        key=lambda place: (place.withdrawn_at is None, place.changed_at),
    )
    return Team(hands=row.hands, name=places[-1].crew.name if places else "")
