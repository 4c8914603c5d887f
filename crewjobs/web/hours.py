"""What the shop counts its hours with: standard minutes, what was learned, doubtful records."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs import snapshots
from crewjobs.actions import learning, shops
from crewjobs.domain import hours
from crewjobs.domain.findings import Finding
from crewjobs.domain.hours import lessons
from crewjobs.models import HoursModel, Learned, Visit
from crewjobs.permissions import visible_visits
from crewjobs.web.pages import Asked, page, refusals

MOST = 100
SAID = {
    Learned.COUNTED: "The record counts as any other.",
    Learned.CONFIRMED: "The record is right, and counts in full.",
    Learned.EXCLUDED: "The record is wrong, and is not learned from.",
}


class StandardForm(forms.Form):
    """One standard time of the shop's own."""

    name = forms.ChoiceField(label="Standard time")
    value_min = forms.FloatField(
        label="Minutes",
        required=False,
        min_value=0,
        max_value=9999,
        help_text="left empty: the prior value",
        widget=forms.NumberInput({"step": "any"}),
    )

    def __init__(self, data: object = None) -> None:
        super().__init__(data)  # type: ignore[arg-type]
        field = self.fields["name"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [
                (element, [(each.name, each.note) for each in times])
                for element, times in groupby(hours.standard_minutes(), lambda each: each.element)
            ]


@dataclass(frozen=True, kw_only=True, slots=True)
class Suspicious:
    """A record that looks wrong."""

    visit: Visit
    crew: str
    gross_share: float
    expected_min: float


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    return _hours(asked)


@require_POST
@page
def change(asked: Asked) -> HttpResponseBase:
    asked.require("shop.change")
    form = StandardForm(asked.request.POST)
    if not form.is_valid():
        return _hours(asked, form=form, status=422)
    found = refusals(lambda: shops.change_minutes(**form.cleaned_data, by=asked.by, now=asked.now))
    if found:
        return _hours(asked, form=form, found=found, status=409)
    asked.say("The standard time is changed. The hours of visits that have not begun follow soon.")
    return redirect("hours")


@require_POST
@page
def judge(asked: Asked, visit_id: UUID) -> HttpResponseBase:
    asked.require("hours.judge")
    get_object_or_404(visible_visits(asked.by), pk=visit_id)
    word = asked.request.POST.get("learned", "")
    if word not in set(Learned):
        return _hours(asked, status=422)
    learned = Learned(word)
    found = refusals(
        lambda: learning.judge(visit_id=visit_id, learned=learned, by=asked.by, now=asked.now)
    )
    if found:
        return _hours(asked, found=found, status=409)
    asked.say(f"{SAID[learned]} The hours are learned anew soon.")
    return redirect("hours")


def _hours(
    asked: Asked,
    *,
    form: StandardForm | None = None,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    asked.require("hours.read")
    newest = HoursModel.objects.first()
    model = hours.Model.from_json(newest.content) if newest else hours.Model()
    judged = _finished().exclude(learned=Learned.COUNTED)
    context = {
        "newest": newest,
        "by_element": lessons.by_element(model),
        "by_crew": lessons.by_crew(model),
        "suspects": _suspects(newest) if newest else [],
        "judged": [(visit, snapshots.team(visit).name) for visit in judged[:MOST]],
        "standards": snapshots.standards(asked.shop),
        "form": form or StandardForm(),
        "found": found,
        "may_judge": asked.may("hours.judge"),
        "may_change": asked.may("shop.change"),
    }
    return asked.page("standards.html", context, status=status)


def _finished() -> QuerySet[Visit]:
    found = Visit.objects.filter(finished_at__isnull=False, actual_min__isnull=False)
    return (
        found.select_related("job__customer")
        .prefetch_related("placements__crew")
        .order_by("-finished_at", "pk")
    )


def _suspects(newest: HoursModel) -> list[Suspicious]:
    """What the newest model doubts and nobody has judged yet, the most doubtful first."""
    doubted = {each["name"]: each for each in newest.suspects}
    visits = {str(visit.pk): visit for visit in _finished().filter(pk__in=doubted)}
    return [
        Suspicious(
            visit=visits[name],
            crew=snapshots.team(visits[name]).name,
            gross_share=each["gross_share"],
            expected_min=each["expected_min"],
        )
        for name, each in doubted.items()
        if name in visits and visits[name].learned == Learned.COUNTED
    ]
