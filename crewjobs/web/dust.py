"""The dust of one person's day: what its tasks ask for, and its average over 8 hours."""

from django import forms
from django.http import HttpResponseBase
from django.views.decorators.http import require_safe

from crewjobs.domain import dust
from crewjobs.domain.dust import DustyWork, Shift, Task
from crewjobs.domain.facts import DustRules
from crewjobs.web.pages import Asked, page

ROWS = 4
PLACES = [("outdoors", "outdoors"), ("indoors", "indoors")]


class SpellForm(forms.Form):
    """One task of the day."""

    task = forms.ChoiceField(
        label="Task", required=False, choices=[("", "nothing"), *((each, each) for each in Task)]
    )
    minutes = forms.FloatField(label="Minutes", required=False, min_value=0, max_value=1440)
    place = forms.ChoiceField(label="Place", required=False, choices=PLACES)
    level = forms.FloatField(label="Measured, µg/m³", required=False, min_value=0)


@require_safe
@page
def show(asked: Asked) -> HttpResponseBase:
    asked.require("shop.read")
    data = asked.request.GET or None
    spells = [SpellForm(data, prefix=str(number)) for number in range(ROWS)]
    is_read = data is not None and all(spell.is_valid() for spell in spells)
    context = {
        "spells": spells,
        "shifts": _shifts(asked, spells) if is_read else [],
        "caution": dust.CAUTION,
    }
    return asked.page("dust.html", context, status=200 if is_read or data is None else 422)


def _shifts(asked: Asked, spells: list[SpellForm]) -> list[Shift]:
    """The day by the shop's set of rules, or by all where nobody chose."""
    told = [spell.cleaned_data for spell in spells if spell.cleaned_data.get("task")]
    work = [
        DustyWork(
            task=Task(each["task"]),
            minutes_min=each["minutes"] or 0.0,
            is_outdoors=each["place"] != "indoors",
        )
        for each in told
    ]
    chosen = asked.shop.dust_rules
    sets = [DustRules(chosen)] if chosen else list(DustRules)
    levels = [each["level"] for each in told]
    return [dust.shift(work, levels, rules) for rules in sets] if work else []
