"""A large plan while it is made in parts: how far it is, and the button that takes it as it is."""

from uuid import UUID

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import large_plans
from crewjobs.models import Plan, PlanStatus
from crewjobs.web.pages import Asked, page, refusals


@require_safe
@page
def show(asked: Asked, plan_id: UUID) -> HttpResponseBase:
    asked.require("plan.make")
    plan = get_object_or_404(Plan, pk=plan_id)
    if plan.status != PlanStatus.IN_THE_MAKING:
        return redirect("plan", plan_id)
    return asked.page("making.html", {"plan": plan})


@require_POST
@page
def stop(asked: Asked, plan_id: UUID) -> HttpResponseBase:
    get_object_or_404(Plan, pk=plan_id)
    found = refusals(lambda: large_plans.stop(plan_id=plan_id, by=asked.by, now=asked.now))
    if not found:
        asked.say("The draft is what the plan had come to. Nobody is told before you publish it.")
    return redirect("plan", plan_id)
