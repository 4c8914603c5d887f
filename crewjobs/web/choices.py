"""One visit of a draft: where it could go, what would place it, and the form that puts it there."""

import datetime as dt
from collections.abc import Iterable
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import choices, plans
from crewjobs.domain.findings import Finding
from crewjobs.models import Crew, Plan, Visit
from crewjobs.web.pages import Asked, page, refusals

COST_A_MIN = 10
"""Of what a plan costs, a minute of driving."""


class PutForm(forms.Form):
    """A crew and a moment on the shop's clock; without a crew, out of the plan."""

    crew = forms.ModelChoiceField(
        Crew.objects.filter(is_active=True), required=False, empty_label="no crew: out of the plan"
    )
    day = forms.DateField(required=False, widget=forms.DateInput({"type": "date"}))
    start = forms.TimeField(required=False, widget=forms.TimeInput({"type": "time"}))


@require_safe
@page
def show(asked: Asked, plan_id: UUID, visit_id: UUID) -> HttpResponseBase:
    return _choices(asked, plan_id, visit_id, PutForm())


@require_POST
@page
def put(asked: Asked, plan_id: UUID, visit_id: UUID) -> HttpResponseBase:
    form = PutForm(asked.request.POST)
    if not form.is_valid():
        return _choices(asked, plan_id, visit_id, form, status=422)
    crew, day, start = (form.cleaned_data[name] for name in ("crew", "day", "start"))
    starts_at = None
    if day and start:
        starts_at = dt.datetime.combine(day, start, ZoneInfo(asked.shop.time_zone))
    found = refusals(
        lambda: plans.move(
            plan_id=plan_id,
            visit_id=visit_id,
            crew_id=crew.pk if crew else None,
            starts_at=starts_at,
            by=asked.by,
            now=asked.now,
        )
    )
    if found:
        return _choices(asked, plan_id, visit_id, form, found=found, status=409)
    asked.say("The draft has it so. Nobody is told before you publish it.")
    return redirect("plan", plan_id)


def _choices(
    asked: Asked,
    plan_id: UUID,
    visit_id: UUID,
    form: PutForm,
    *,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    asked.require("plan.make")
    plan = get_object_or_404(Plan, pk=plan_id)
    visit = get_object_or_404(Visit.objects.select_related("job__customer"), pk=visit_id)
    days: list[choices.Choice] = []
    ways: list[choices.Way] = []

    def look() -> None:
        days.extend(choices.choices(plan_id=plan_id, visit_id=visit_id, by=asked.by))
        ways.extend(choices.ways(plan_id=plan_id, visit_id=visit_id, by=asked.by))

    refused = refusals(look)
    open_days = sorted((d for d in days if not d.reasons), key=lambda d: d.extra_cost or 0)
    context = {
        "plan": plan,
        "visit": visit,
        "at": plan.planned.filter(visit=visit).select_related("crew").first(),
        "open_days": [(each, _minutes(each.extra_cost)) for each in open_days],
        "closed_days": [each for each in days if each.reasons],
        "ways": [(each, _minutes(each.extra_cost)) for each in ways],
        "form": form,
        "found": [*found, *refused],
    }
    return asked.page("choices.html", context, status=409 if refused else status)


def _minutes(cost: int | None) -> int:
    """A cost as so many minutes of driving."""
    return round((cost or 0) / COST_A_MIN)
