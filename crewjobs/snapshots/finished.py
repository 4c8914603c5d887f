"""The rows of finished visits into what the hours are learned from. Reads only."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from crewjobs.domain import hours
from crewjobs.domain.facts import ReportKind, Team, VisitKind
from crewjobs.models import Learned, Shop, Visit
from crewjobs.snapshots.jobs import WHOLE_JOB, work


def finished_visits() -> QuerySet[Visit]:
    """Visits that were worked to their end and clocked, with what they were about."""
    return (
        Visit.objects.filter(finished_at__isnull=False, actual_min__gt=0, progress_share=1)
        .exclude(reports__kind=ReportKind.NO_GO)
        .select_related("job")
        .prefetch_related("pieces", "placements__crew", *(f"job__{name}" for name in WHOLE_JOB))
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
                is_confirmed=row.learned == Learned.CONFIRMED,
            )


def team(row: Visit) -> Team:
    """The hands that a visit asks for, and the crew that has it, if one has."""
    places = sorted(
        row.placements.all(), key=lambda place: (place.withdrawn_at is None, place.changed_at)
    )
    return Team(hands=row.hands, name=places[-1].crew.name if places else "")
