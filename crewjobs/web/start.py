"""The first page: today, the days to come, and what waits for dispatch."""

import datetime as dt
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Prefetch, Q, QuerySet
from django.http import HttpResponseBase
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.domain.facts import ReportKind
from crewjobs.models import (
    Hold,
    OutboxMessage,
    OutboxStatus,
    StatusReport,
    UnplacedVisit,
    Visit,
)
from crewjobs.permissions import visible_visits
from crewjobs.web import places
from crewjobs.web.pages import Asked, page
from crewjobs.web.places import Row

DAYS = 7
NEWS_DAYS = 3
MOST = 30
PATIENCE = dt.timedelta(minutes=15)
"""A crew that has not reported so long after its start is named. Common practice."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """How one of today's visits stands, in words."""

    row: Row
    words: str
    late_min: int | None
    """By how much the expected finish is behind the planned one, once work has begun."""


@require_safe
@page
def show(asked: Asked) -> HttpResponseBase:
    days = [asked.today + dt.timedelta(n) for n in range(DAYS)]
    rows = [places.row_of(asked, place) for place in places.published(asked, days)]
    today = [row for row in rows if row.day == asked.today]
    coming = groupby((row for row in rows if row.day != asked.today), lambda row: row.day)
    context: dict[str, object] = {
        "standings": [_standing(row, asked.now) for row in today],
        "coming": [(day, list(of_day)) for day, of_day in coming],
    }
    if today and asked.may("plan.make"):
        context["chart"] = places.chart(asked, [asked.today], today, [])
    if asked.may("plan.make"):
        context |= _waiting(asked)
    return asked.page("start.html", context)


def _standing(row: Row, now: dt.datetime) -> Standing:
    visit, place = row.visit, row.place
    late = (visit.live_finish_at or place.ends_at) - place.ends_at
    late_min = round(late / dt.timedelta(minutes=1)) if visit.started_at else None
    if visit.finished_at:
        words = "done"
    elif visit.started_at:
        words = "on site"
    elif now > place.starts_at + PATIENCE:
        words = "not begun"
    else:
        words = "to come"
    return Standing(row=row, words=words, late_min=late_min)


def _waiting(asked: Asked) -> dict[str, object]:
    """What somebody in the office has to look at."""
    unplaced = list(_without_place()[: MOST + 1])
    return {
        "late": snapshots.late(asked.shop, visible_visits(asked.by), now=asked.now),
        "unplaced": unplaced[:MOST],
        "has_more_unplaced": len(unplaced) > MOST,
        "holds": _holds()[:MOST],
        "news": _news(asked)[:MOST],
        "dead": OutboxMessage.objects.filter(status=OutboxStatus.DEAD).count(),
    }


def _without_place() -> QuerySet[Visit]:
    """Visits without a published place, of jobs not held; with what the newest plan said."""
    said = UnplacedVisit.objects.order_by("-plan__version")
    return (
        Visit.objects.open()
        .exclude(pk__in=Visit.objects.published().values("pk"))
        .filter(started_at__isnull=True)
        .exclude(job__in=Hold.objects.filter(released_at__isnull=True).values("job"))
        .select_related("job__customer", "job__site")
        .prefetch_related(Prefetch("unplaced", said, to_attr="said"))
        .order_by("job__due_on", "created_at", "pk")
    )


def _holds() -> QuerySet[Hold]:
    return (
        Hold.objects.filter(released_at__isnull=True, job__cancelled_at__isnull=True)
        .select_related("job__customer", "placed_by")
        .order_by("created_at", "pk")
    )


def _news(asked: Asked) -> QuerySet[StatusReport]:
    """No-gos, problems, and reports that came with a flag, of the last days."""
    asks = Q(kind__in=[ReportKind.NO_GO, ReportKind.PROBLEM]) | ~Q(flag="")
    since = asked.now - dt.timedelta(NEWS_DAYS)
    found = StatusReport.objects.standing().filter(asks, happened_at__gte=since)
    return found.select_related("visit__job__customer", "person").order_by("-happened_at", "pk")
