"""The hours of one job's visits, and what they would be with other people, weather or shop work."""

from uuid import UUID

from django import forms
from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.actions import hours
from crewjobs.models import Job, Visit
from crewjobs.permissions import visible_jobs
from crewjobs.web.pages import Asked, page


class WhatIfForm(forms.Form):
    """Which visit, and in what weather."""

    visit = forms.ChoiceField(label="Visit")
    temperature_deg_c = forms.FloatField(
        label="Temperature on site, °C",
        required=False,
        min_value=-20,
        max_value=50,
        widget=forms.NumberInput({"step": "any"}),
    )

    def __init__(self, visits: list[Visit], data: object = None) -> None:
        super().__init__(data)  # type: ignore[arg-type]
        field = self.fields["visit"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [
                (str(visit.pk), f"{visit.kind}, {visit.hands} hands") for visit in visits
            ]


@require_safe
@page
def show(asked: Asked, job_id: UUID) -> HttpResponseBase:
    if not visible_jobs(asked.by).filter(pk=job_id).exists():
        raise Http404
    job = snapshots.whole_jobs().get(pk=job_id)
    visits = [visit for visit in job.visits.all() if visit.cancelled_at is None]
    form = WhatIfForm(visits, asked.request.GET if "visit" in asked.request.GET else None)
    is_wrong = form.is_bound and not form.is_valid()
    chosen = hours.main_visit(job) if is_wrong else _chosen(job, form)
    context = {
        "job": job,
        "visits": visits,
        "form": form,
        "chosen": chosen,
        "variants": _variants(asked, job, chosen, form) if chosen else [],
    }
    return asked.page("what_if.html", context, status=422 if is_wrong else 200)


def _chosen(job: Job, form: WhatIfForm) -> Visit | None:
    """The visit that was asked about; the main one where nobody asked."""
    if not form.is_bound:
        return hours.main_visit(job)
    named = form.cleaned_data["visit"]
    return next(visit for visit in job.visits.all() if str(visit.pk) == named)


def _variants(asked: Asked, job: Job, visit: Visit, form: WhatIfForm) -> list[dict[str, object]]:
    """Each variant, and by how much its P50 differs from what is planned."""
    degrees = form.cleaned_data.get("temperature_deg_c") if form.is_bound else None
    found = hours.what_if(
        job, visit, asked.shop, temperatures_deg_c=() if degrees is None else (degrees,)
    )
    planned_min = found[0].hours.p50_min
    return [
        {"variant": each, "change_min": each.hours.p50_min - planned_min if place else None}
        for place, each in enumerate(found)
    ]
