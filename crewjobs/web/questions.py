"""The shop's own questions: in other words, left out, or more of them; the usual ones beside."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.http import HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import shops
from crewjobs.domain import questions
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.questions import USUAL, Form, Kind, Question
from crewjobs.models import Shop
from crewjobs.web.lengths import LengthField
from crewjobs.web.pages import Asked, page, refusals

Own = dict[str, dict[str, Any]]
MOST_LETTERS = 200
SAID = {
    "keep": "The question is changed.",
    "leave": "The question is not asked any more.",
    "usual": "The question is the usual one again.",
}


class ChangeForm(forms.Form):
    """One question in other words, or with another weight; or not at all."""

    which = forms.ChoiceField(label="Question")
    words = forms.CharField(
        label="In these words",
        required=False,
        max_length=MOST_LETTERS,
        help_text="left empty: as now",
    )
    severity = forms.ChoiceField(
        label="A bad answer is",
        required=False,
        choices=[("", "as now"), *((str(each), str(each)) for each in Severity)],
    )

    def __init__(self, shop: Shop, data: QueryDict | None) -> None:
        super().__init__(data, auto_id="change_%s")
        known = _known(shop)
        field = self.fields["which"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [
                (str(form), [(f"{form}/{q.code}", q.words) for q in known[form]]) for form in Form
            ]


class AddForm(forms.Form):
    """A question of the shop's own."""

    form = forms.ChoiceField(label="Form", choices=[(str(each), str(each)) for each in Form])
    words = forms.CharField(label="Question", max_length=MOST_LETTERS)
    kind = forms.ChoiceField(
        label="Answered by",
        choices=[(str(each), str(each)) for each in Kind],
        help_text="yes or no: ask so that yes is good",
    )
    severity = forms.ChoiceField(
        label="A bad answer is", choices=[(str(each), str(each)) for each in Severity]
    )
    choices = forms.CharField(
        label="Choices, parted by commas", required=False, max_length=400, help_text="of a choice"
    )
    bad = forms.CharField(label="Bad choices, parted by commas", required=False, max_length=400)

    def __init__(self, shop: Shop, data: QueryDict | None) -> None:
        super().__init__(data, auto_id="add_%s")
        limits = {"least_mm": "Least, of a measure", "most_mm": "Most, of a measure"}
        for name, label in limits.items():
            self.fields[name] = LengthField(shop=shop, label=label)

    def question(self) -> dict[str, Any]:
        """The question as the shop keeps it."""
        said = self.cleaned_data
        told = {name: said[name] for name in ("words", "kind", "severity")}
        told |= {name: _parts(said[name]) for name in ("choices", "bad") if said[name]}
        limits = ("least_mm", "most_mm")
        return told | {name: said[name] for name in limits if said[name] is not None}


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    return _shown(asked)


@require_POST
@page
def change(asked: Asked) -> HttpResponseBase:
    asked.require("shop.change")
    form = ChangeForm(asked.shop, asked.request.POST)
    do = asked.request.POST.get("do", "")
    if not form.is_valid() or do not in SAID:
        return _shown(asked, change_form=form, status=422)
    name, _, code = form.cleaned_data["which"].partition("/")
    own = _own(asked.shop)
    mine = own.setdefault(name, {})
    is_usual = code in {each.code for each in USUAL[Form(name)]}
    if do == "keep":
        told = {key: form.cleaned_data[key] for key in ("words", "severity")}
        mine[code] = {**(mine.get(code) or {}), **{k: v for k, v in told.items() if v}}
    elif do == "leave" and is_usual:
        mine[code] = None
    else:
        mine.pop(code, None)
    return _kept(asked, own, SAID[do], change_form=form)


@require_POST
@page
def add(asked: Asked) -> HttpResponseBase:
    asked.require("shop.change")
    form = AddForm(asked.shop, asked.request.POST)
    if not form.is_valid():
        return _shown(asked, add_form=form, status=422)
    own, name = _own(asked.shop), form.cleaned_data["form"]
    mine = own.setdefault(name, {})
    taken = {each.code for each in _known(asked.shop)[Form(name)]}
    mine[_code(form.cleaned_data["words"], taken)] = form.question()
    return _kept(asked, own, "The question is asked from now on.", add_form=form)


def _kept(asked: Asked, own: Own, said: str, **shown: forms.Form) -> HttpResponseBase:
    changes = {"questions": {form: told for form, told in own.items() if told}}
    found = refusals(lambda: shops.change(changes=changes, by=asked.by, now=asked.now))
    if found:
        return _shown(asked, found=found, status=409, **shown)
    asked.say(said)
    return redirect("questions")


def _shown(
    asked: Asked, *, found: Iterable[Finding] = (), status: int = 200, **shown: forms.Form
) -> HttpResponseBase:
    asked.require("shop.read")
    now = questions.of_shop(asked.shop.questions)
    context = {
        "forms_now": [(form, now[form]) for form in Form],
        "left_out": [
            (form, each)
            for form in Form
            for each in USUAL[form]
            if each.code not in {kept.code for kept in now[form]}
        ],
        "change_form": ChangeForm(asked.shop, None),
        "add_form": AddForm(asked.shop, None),
        "may_change": asked.may("shop.change"),
        "found": found,
    }
    return asked.page("questions.html", {**context, **shown}, status=status)


def _known(shop: Shop) -> Mapping[Form, tuple[Question, ...]]:
    """Every question that is asked or was left out."""
    now = questions.of_shop(shop.questions)
    return {
        form: (
            *now[form],
            *(q for q in USUAL[form] if q.code not in {each.code for each in now[form]}),
        )
        for form in Form
    }


def _own(shop: Shop) -> Own:
    return {form: dict(told) for form, told in shop.questions.items()}


def _code(words: str, taken: set[str]) -> str:
    """A code of the words that no other question has."""
    plain = re.sub(r"[^a-z0-9]+", "_", words.lower()).strip("_")[:32].strip("_")
    stem = plain if plain[:1].isalpha() else f"own_{plain}".strip("_")
    number = 1
    while (code := stem if number == 1 else f"{stem}_{number}") in taken:
        number += 1
    return code


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]
