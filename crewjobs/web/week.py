"""The plan of a week: what is published, the draft over it, and what a draft would change."""

import datetime as dt
from collections.abc import Iterable, Sequence
from itertools import groupby
from operator import attrgetter
from uuid import UUID

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import Prefetch, QuerySet
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import large_plans, overrides, plans, replans, telling
from crewjobs.actions.telling import Call, Knows
from crewjobs.domain.findings import Finding
from crewjobs.models import Placement, Plan, PlannedVisit, PlanStatus, UnplacedVisit, Visit
from crewjobs.web import places, without_place
from crewjobs.web.pages import Asked, day_of, page, refusals
from crewjobs.web.places import Row

DAYS = 7
DRAFT_DAYS = 10
EARLIEST, LATEST = dt.date(2000, 1, 1), dt.date(2200, 1, 1)
"""Days that a week may begin with; beyond them somebody has mistyped."""


class DraftForm(forms.Form):
    """Which days to plan."""

    first_on = forms.DateField(
        label="from",
        widget=forms.DateInput({"type": "date"}),
        validators=[MinValueValidator(EARLIEST), MaxValueValidator(LATEST)],
    )
    days = forms.IntegerField(label="days", min_value=1, max_value=plans.MOST_DAYS)


@require_safe
@page
def show(asked: Asked) -> HttpResponseBase:
    return _week(asked, _first_day(asked))


@require_POST
@page
def draft(asked: Asked) -> HttpResponseBase:
    form = DraftForm(asked.request.POST)
    if not form.is_valid():
        return _week(asked, asked.today, form=form, status=422)
    first_on = form.cleaned_data["first_on"]
    last_on = first_on + dt.timedelta(form.cleaned_data["days"] - 1)
    days = {"first_on": first_on, "last_on": last_on}
    make = large_plans.begin if large_plans.is_large(**days) else plans.draft
    made: list[Plan] = []
    if found := refusals(lambda: made.append(make(**days, by=asked.by, now=asked.now))):
        return _week(asked, first_on, form=form, found=found, status=409)
    if made[0].status == PlanStatus.IN_THE_MAKING:
        return redirect("plan-making", made[0].pk)
    asked.say("The draft is made. Nobody is told before you publish it.")
    return redirect(f"{reverse('week')}?from={first_on}")


@require_POST
@page
def from_now(asked: Asked) -> HttpResponseBase:
    made: list[Plan] = []
    if found := refusals(lambda: made.append(replans.from_now(by=asked.by, now=asked.now))):
        return _week(asked, asked.today, found=found, status=409)
    asked.say("The rest of today is planned again. Nobody is told before you publish it.")
    return redirect("plan", made[0].pk)


@require_safe
@page
def compare(asked: Asked, plan_id: UUID) -> HttpResponseBase:
    asked.require("plan.make")
    return _compared(asked, get_object_or_404(Plan, pk=plan_id))


@require_POST
@page
def publish(asked: Asked, plan_id: UUID) -> HttpResponseBase:
    plan = get_object_or_404(Plan, pk=plan_id)
    if found := refusals(lambda: plans.publish(plan_id=plan_id, by=asked.by, now=asked.now)):
        return _compared(asked, plan, found=found, status=409)
    asked.say(f"Plan {plan.version} is published: calendars show it, customers will be told.")
    return redirect(f"{reverse('week')}?from={plan.first_on}")


@require_POST
@page
def override(asked: Asked, plan_id: UUID, visit_id: UUID) -> HttpResponseBase:
    plan = get_object_or_404(Plan, pk=plan_id)
    said = overrides.Said(*(asked.request.POST.get(name, "") for name in overrides.Said._fields))
    reason = asked.request.POST.get("reason", "")
    if found := refusals(
        lambda: overrides.answer(
            visit_id=visit_id, said=said, reason=reason, by=asked.by, now=asked.now
        )
    ):
        return _compared(asked, plan, found=found, status=409)
    asked.say("Your answer is written down with your name. It holds while the finding reads so.")
    return redirect("plan", plan_id)


@require_POST
@page
def discard(asked: Asked, plan_id: UUID) -> HttpResponseBase:
    plan = get_object_or_404(Plan, pk=plan_id)
    if found := refusals(lambda: plans.discard(plan_id=plan_id, by=asked.by, now=asked.now)):
        return _compared(asked, plan, found=found, status=409)
    asked.say(f"Plan {plan.version} is put aside. What was published stays.")
    return redirect(f"{reverse('week')}?from={plan.first_on}")


def _first_day(asked: Asked) -> dt.date:
    """The day that was asked for, or the Monday of this week."""
    text = asked.request.GET.get("from", "")
    try:
        wanted = parse_date(text)
    except ValueError:
        wanted = None
    if wanted and EARLIEST <= wanted <= LATEST:
        return wanted
    return asked.today - dt.timedelta(asked.today.weekday())


def _week(
    asked: Asked,
    first_on: dt.date,
    *,
    form: DraftForm | None = None,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    days = [first_on + dt.timedelta(n) for n in range(DAYS)]
    plan = _draft_for(asked, days)
    published = list(places.published(asked, days))
    planned = list(_planned(plan, asked, days)) if plan else []
    rows = sorted(_rows(asked, published, planned, plan), key=lambda row: row.place.starts_at)
    tomorrow = asked.today + dt.timedelta(1)
    context = {
        "first_on": first_on,
        "last_on": days[-1],
        "before": first_on - dt.timedelta(DAYS),
        "after": days[-1] + dt.timedelta(1),
        "plan": plan,
        "making": _in_the_making(asked),
        "chart": places.chart(asked, days, rows, published if plan else []),
        "rows": rows,
        **without_place.parts(asked, plan, _unplaced(asked, plan)),
        "form": form or DraftForm(initial={"first_on": tomorrow, "days": DRAFT_DAYS}),
        "found": found,
    }
    return asked.page("week.html", context, status=status)


def _in_the_making(asked: Asked) -> Plan | None:
    if not asked.may("plan.make"):
        return None
    return Plan.objects.filter(status=PlanStatus.IN_THE_MAKING).first()


def _draft_for(asked: Asked, days: Sequence[dt.date]) -> Plan | None:
    """The newest draft that speaks of these days; only who may make one sees it."""
    if not asked.may("plan.make"):
        return None
    drafts = Plan.objects.filter(status=PlanStatus.DRAFT)
    return drafts.filter(first_on__lte=days[-1], last_on__gte=days[0]).first()


def _planned(plan: Plan, asked: Asked, days: Sequence[dt.date]) -> QuerySet[PlannedVisit]:
    in_force = Placement.objects.filter(withdrawn_at__isnull=True).select_related("crew")
    return (
        plan.planned.filter(**places.between(asked, days))
        .select_related(*places.ADDRESSES)
        .prefetch_related("visit__windows", Prefetch("visit__placements", in_force))
    )


def _rows(
    asked: Asked,
    published: Iterable[Placement],
    planned: Iterable[PlannedVisit],
    plan: Plan | None,
) -> list[Row]:
    """Each visit once: where the draft puts it, or where it is published."""
    rows = {}
    for place in published:
        day = day_of(place.starts_at, asked.zone)
        if plan is None or place.visit.started_at or not plan.first_on <= day <= plan.last_on:
            rows[place.visit_id] = places.row_of(asked, place)
    for each in planned:
        before = each.visit.placement
        if before is None or (before.crew_id, before.starts_at) != (each.crew_id, each.starts_at):
            rows[each.visit_id] = places.row_of(asked, each, before=before, is_draft=True)
        else:
            rows[each.visit_id] = places.row_of(asked, each)
    return list(rows.values())


def _unplaced(asked: Asked, plan: Plan | None) -> QuerySet[UnplacedVisit] | list[UnplacedVisit]:
    """What the draft, or the last published plan, leaves out."""
    newest = plan or Plan.objects.filter(status=PlanStatus.PUBLISHED).first()
    if newest is None or not asked.may("plan.make"):
        return []
    found = without_place.of_plan(newest)
    if plan is not None:
        return found
    still_open = Visit.objects.open().exclude(
        placements__withdrawn_at__isnull=True, placements__isnull=False
    )
    return found.filter(visit__in=still_open)


# What a draft changes


def _compared(
    asked: Asked, plan: Plan, *, found: Iterable[Finding] = (), status: int = 200
) -> HttpResponseBase:
    is_draft = plan.status == PlanStatus.DRAFT
    changes = plans.compare(plan) if is_draft else []
    published = [change.visit for change in changes if change.after]
    context = {
        "plan": plan,
        "is_draft": is_draft,
        "changes": changes,
        "calls": _by_what_they_know(telling.calls(plan, now=asked.now)),
        "to_leave": telling.to_leave(plan, now=asked.now),
        **without_place.parts(asked, plan, without_place.of_plan(plan)),
        "stopped": overrides.stopped(published, plan),
        "found": found,
    }
    return asked.page("plan.html", context, status=status)


HEADINGS = {
    Knows.ACCEPTED: "They accepted another hour",
    Knows.TOLD: "They were told another hour",
    Knows.UNKNOWN: "No message reaches them",
}


def _by_what_they_know(calls: Iterable[Call]) -> list[tuple[str, list[Call]]]:
    """The calls under their headings."""
    return [(HEADINGS[knows], list(group)) for knows, group in groupby(calls, attrgetter("knows"))]
