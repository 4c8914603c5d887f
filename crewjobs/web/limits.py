"""The shop's limits: what each is, where it comes from, how far to rely on it, its own value."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import shops
from crewjobs.domain import units
from crewjobs.domain.findings import Finding
from crewjobs.domain.limits import KNOWN, Known
from crewjobs.models import Shop, Units
from crewjobs.web import wording
from crewjobs.web.pages import Asked, page, refusals


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One limit in words."""

    known: Known
    value: str
    usual: str
    is_own: bool


class LimitForm(forms.Form):
    """One limit of the shop's own, written as people write it."""

    code = forms.ChoiceField(
        label="Limit",
        choices=[
            (part, [(each.code, each.words.capitalize()) for each in group])
            for part, group in groupby(KNOWN.values(), lambda each: each.part)
        ],
    )
    value = forms.CharField(
        label="The shop's own",
        required=False,
        max_length=40,
        help_text='such as 2 1/2", 60 mm, 25 kg or 0.35; left empty: the usual one',
    )

    def __init__(self, data: object = None, *, shop: Shop) -> None:
        super().__init__(data)  # type: ignore[arg-type]
        self.shop = shop

    def clean(self) -> dict[str, object]:
        """Read the value in the limit's own unit; None where it was left empty."""
        text, code = self.cleaned_data.get("value"), self.cleaned_data.get("code")
        if text and code:
            try:
                self.cleaned_data["value"] = read(KNOWN[code], text, self.shop)
            except ValueError as error:
                self.add_error("value", str(error))
        return self.cleaned_data


def read(known: Known, text: str, shop: Shop) -> float:
    """The value that somebody wrote, in the limit's own unit.

    Raises
    ------
    ValueError
        If it cannot be read.
    """
    is_metric = shop.units == Units.METRIC
    if known.unit == "mm":
        return units.length_mm(text, bare_mm=1.0 if is_metric else units.MM_PER_INCH)
    if known.unit == "kg":
        return units.mass_kg(text, bare_kg=1.0 if is_metric else units.KG_PER_POUND)
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"{text!r} is not a number") from None


def told(known: Known, value: float, shop: Shop) -> str:
    """A limit's value as the shop writes it."""
    if known.unit == "mm":
        return wording.fine_extent(value, shop)
    if known.unit == "kg":
        return wording.mass(value, shop)
    unit = {"share": "", "factor": "", "deg": "°", "C": f"{wording.GAP}°C"}
    return f"{value:g}{unit.get(known.unit, wording.GAP + known.unit)}"


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    return _limits(asked)


@require_POST
@page
def change(asked: Asked) -> HttpResponseBase:
    asked.require("shop.change")
    form = LimitForm(asked.request.POST, shop=asked.shop)
    if not form.is_valid():
        return _limits(asked, form=form, status=422)
    code, value = form.cleaned_data["code"], form.cleaned_data["value"]
    own = {code: None if value == "" else value}
    found = refusals(lambda: shops.change(changes={"limits": own}, by=asked.by, now=asked.now))
    if found:
        return _limits(asked, form=form, found=found, status=409)
    asked.say("The limit is changed. Every check counts with it from now on.")
    return redirect("limits")


def _limits(
    asked: Asked,
    *,
    form: LimitForm | None = None,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    asked.require("shop.read")
    context = {
        "rows": [_row(each, asked.shop) for each in KNOWN.values()],
        "form": form or LimitForm(shop=asked.shop),
        "found": found,
        "may_change": asked.may("shop.change"),
    }
    return asked.page("limits.html", context, status=status)


def _row(known: Known, shop: Shop) -> Row:
    own = shop.limits.get(known.code)
    return Row(
        known=known,
        value=told(known, known.value if own is None else own, shop),
        usual=told(known, known.value, shop),
        is_own=own is not None,
    )
