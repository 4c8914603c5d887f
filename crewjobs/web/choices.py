"""One visit of a draft: each crew's days, what would place it, and the form that puts it there."""

import datetime as dt
from collections.abc import Iterable
from uuid import UUID

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import choices, plans
from crewjobs.actions.choices import Cell, Way
from crewjobs.domain.findings import Finding
from crewjobs.models import Crew, Plan, PlannedVisit, Visit
from crewjobs.web.pages import Asked, page, refusals


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
    return _choices(asked, plan_id, visit_id)


@require_POST
@page
def put(asked: Asked, plan_id: UUID, visit_id: UUID) -> HttpResponseBase:
    form = PutForm(asked.request.POST)
    if not form.is_valid():
        return _choices(asked, plan_id, visit_id, form, status=422)
    crew, day, start = (form.cleaned_data[name] for name in ("crew", "day", "start"))
    starts_at = dt.datetime.combine(day, start, asked.zone) if day and start else None
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
    form: PutForm | None = None,
    *,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    asked.require("plan.make")
    plan = get_object_or_404(Plan, pk=plan_id)
    visit = get_object_or_404(Visit.objects.select_related("job__customer"), pk=visit_id)
    cells: list[Cell] = []
    ways: list[Way] = []

    def look() -> None:
        cells.extend(choices.cells(plan_id=plan_id, visit_id=visit_id, by=asked.by))
        ways.extend(choices.ways(plan_id=plan_id, visit_id=visit_id, by=asked.by))

    refused = refusals(look)
    at = plan.planned.filter(visit=visit).select_related("crew").first()
    context = {
        "plan": plan,
        "visit": visit,
        "at": at,
        "left_out": plan.unplaced.filter(visit=visit).first(),
        "crews": list(dict.fromkeys(cell.crew_name for cell in cells)),
        "days": _by_day(cells),
        "closed": [cell for cell in cells if cell.reasons],
        "ways": [way for way in ways if way.changes],
        "form": form or _filled(asked, at),
        "found": [*found, *refused],
    }
    return asked.page("choices.html", context, status=409 if refused else status)


def _filled(asked: Asked, at: PlannedVisit | None) -> PutForm:
    """The form with the place that was chosen, or where the visit is now."""
    chosen = {name: asked.request.GET.get(name, "") for name in PutForm.base_fields}
    if at is not None and not any(chosen.values()):
        local = at.starts_at.astimezone(asked.zone)
        chosen = {"crew": str(at.crew_id), "day": f"{local:%Y-%m-%d}", "start": f"{local:%H:%M}"}
    return PutForm(initial={name: value for name, value in chosen.items() if value})


def _by_day(cells: list[Cell]) -> list[tuple[dt.date, list[tuple[str, Cell | None]]]]:
    """Each day with the cells of all crews beside each other; none where a crew is off."""
    crews = dict.fromkeys(cell.crew_name for cell in cells)
    known = {(cell.day, cell.crew_name): cell for cell in cells}
    days = sorted({cell.day for cell in cells})
    return [(day, [(crew, known.get((day, crew))) for crew in crews]) for day in days]
