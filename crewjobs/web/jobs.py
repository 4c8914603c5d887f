"""The list of jobs: searched, narrowed, page by page."""

import datetime as dt
from collections.abc import Iterable
from uuid import UUID

from django import forms
from django.db.models import Prefetch, Q, QuerySet
from django.http import HttpResponseBase
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_safe

from crewjobs.domain.facts import Stage
from crewjobs.models import Hold, Job, Placement, Visit
from crewjobs.permissions import visible_jobs
from crewjobs.web.pages import Asked, page

PAGE = 50
DUE = {"": "any day", "late": "overdue", "week": "within 7 days", "none": "no day named"}


class Search(forms.Form):
    """What the list is narrowed to."""

    q = forms.CharField(label="search", required=False, max_length=80)
    stage = forms.ChoiceField(
        label="stage",
        required=False,
        choices=[("", "every stage"), *((stage, stage) for stage in Stage)],
    )
    due = forms.ChoiceField(label="due", required=False, choices=list(DUE.items()))
    held = forms.BooleanField(label="on hold only", required=False)
    all = forms.BooleanField(label="ended ones too", required=False)


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    form = Search(asked.request.GET)
    found = visible_jobs(asked.by)
    if form.is_valid():
        found = _narrowed(found, form.cleaned_data, asked.today)
    rows = list(_with_their_next(_after(found, asked.request.GET.get("after", "")))[: PAGE + 1])
    asked_for = asked.request.GET.copy()
    if len(rows) > PAGE:
        asked_for["after"] = f"{rows[PAGE - 1].created_at.isoformat()}_{rows[PAGE - 1].pk}"
    context = {
        "form": form,
        "jobs": rows[:PAGE],
        "more": asked_for.urlencode() if len(rows) > PAGE else "",
        "is_first": "after" not in asked.request.GET,
    }
    return asked.page("jobs.html", context)


def _narrowed(found: QuerySet[Job], wanted: dict[str, object], today: dt.date) -> QuerySet[Job]:
    if not wanted["all"] and not wanted["stage"]:
        found = found.filter(cancelled_at__isnull=True).exclude(stage=Stage.SIGNED_OFF)
    if text := str(wanted["q"]).strip():
        names = ("number", "title", "customer__name", "site__street", "site__town")
        found = found.filter(_any_contains(names, text))
    if wanted["stage"]:
        found = found.filter(stage=wanted["stage"])
    if wanted["held"]:
        held = Hold.objects.filter(released_at__isnull=True)
        found = found.filter(pk__in=held.values("job"))
    match wanted["due"]:
        case "late":
            return found.filter(due_on__lt=today)
        case "week":
            return found.filter(due_on__range=(today, today + dt.timedelta(7)))
        case "none":
            return found.filter(due_on__isnull=True)
    return found


def _any_contains(names: Iterable[str], text: str) -> Q:
    found = Q()
    for name in names:
        found |= Q(**{f"{name}__icontains": text})
    return found


def _after(found: QuerySet[Job], mark: str) -> QuerySet[Job]:
    """The jobs behind the last one of the page before, the newest first."""
    at_text, _, pk_text = mark.partition("_")
    try:
        at, pk = parse_datetime(at_text), UUID(pk_text)
    except ValueError:
        return found
    if at is None or at.tzinfo is None:
        return found
    return found.filter(Q(created_at__lt=at) | Q(created_at=at, pk__gt=pk))


def _with_their_next(found: QuerySet[Job]) -> QuerySet[Job]:
    places = Placement.objects.filter(
        withdrawn_at__isnull=True, visit__finished_at__isnull=True
    ).select_related("crew")
    return (
        found.select_related("customer", "site")
        .prefetch_related(
            Prefetch("holds", Hold.objects.filter(released_at__isnull=True), to_attr="open_holds"),
            Prefetch("visits", Visit.objects.filter(cancelled_at__isnull=True)),
            Prefetch("visits__placements", places, to_attr="next_places"),
        )
        .order_by("-created_at", "pk")
    )
