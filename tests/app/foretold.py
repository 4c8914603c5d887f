"""Visits whose hours were foretold from their stone, to come and finished."""

import datetime as dt

from crewjobs.actions import hours
from crewjobs.domain.facts import Stage
from crewjobs.models import Visit
from tests import rows


def estimated(number: str = "1001", **fields) -> Visit:
    """A published visit whose hours are those of its stone."""
    visit = rows.visit(rows.job(number, stage=Stage.PLANNED), **fields)
    rows.placement(visit)
    hours.refresh(visit.job, now=rows.NOW)
    visit.refresh_from_db()
    return visit


def finished(number: str, share: float = 1.0) -> Visit:
    """One that took this share of its P50."""
    visit = estimated(number)
    worked = share * visit.p50_min
    began = rows.at(3, 14)
    Visit.objects.filter(pk=visit.pk).update(
        started_at=began,
        finished_at=began + dt.timedelta(minutes=worked),
        actual_min=worked,
        progress_share=1,
    )
    return visit
