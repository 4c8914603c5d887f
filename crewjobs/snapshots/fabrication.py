"""The jobs that wait for the shop into the days on which their stone is there. Reads only."""

import datetime as dt
from collections.abc import Iterator
from uuid import UUID
from zoneinfo import ZoneInfo

from crewjobs import models
from crewjobs.domain import pieces
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.scheduling import fabrication
from crewjobs.models import Job, Shop
from crewjobs.snapshots.clocks import on_clock
from crewjobs.snapshots.jobs import is_templated, piece


def ready_days(shop: Shop, first_on: dt.date) -> dict[UUID, dt.date]:
    """When the stone of each job is ready by what the shop can make; none without a capacity.

    Jobs of which somebody said it are left out, and take nothing from the others. A template visit
    that is published counts as done on its day.
    """
    if shop.capacity_m2 is None:
        return {}
    works = fabrication.Works(capacity_m2=shop.capacity_m2, lead_days=shop.lead_days)
    found = fabrication.ready_on(_orders(shop), works, today=first_on - dt.timedelta(days=1))
    return {UUID(job): day for job, day in found.items()}


def _orders(shop: Shop) -> Iterator[fabrication.Order]:
    waiting = [stage for stage in Stage if stage.rank < Stage.READY.rank]
    rows = Job.objects.going().filter(stage__in=waiting, stone_ready_on__isnull=True)
    for row in rows.prefetch_related("pieces__cutouts", "visits__placements", "visits__reports"):
        released_on = _released_on(row, ZoneInfo(shop.time_zone))
        if released_on is not None:
            yield fabrication.Order(
                job=str(row.pk),
                area_m2=sum(pieces.area_m2(piece(each)) for each in row.pieces.all()),
                released_on=released_on,
                due_on=row.due_on,
            )


def _released_on(row: Job, zone: ZoneInfo) -> dt.date | None:
    """When its sizes were taken, or will be; None if nobody knows."""
    template = template_visit(row)
    if template is None:
        return on_clock(row.created_at, zone)[0] if is_templated(row) else None
    if is_templated(row) and template.finished_at:
        return on_clock(template.finished_at, zone)[0]
    return on_clock(template.placement.starts_at, zone)[0] if template.placement else None


def template_visit(row: Job) -> models.Visit | None:
    """The newest template visit of a job that was not cancelled."""
    found = [v for v in row.visits.all() if v.kind == VisitKind.TEMPLATE and not v.cancelled_at]
    return max(found, key=lambda visit: visit.created_at, default=None)
