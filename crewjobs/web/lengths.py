"""A length in a form: typed as people write it, shown in the shop's units."""

from django import forms

from crewjobs.domain import units
from crewjobs.models import Shop, Units
from crewjobs.web.wording import GAP, fine_extent

MOST_MM = 100_000.0


def bare_mm(shop: Shop) -> float:
    """What a length without a unit counts in."""
    return 1.0 if shop.units == Units.METRIC else units.MM_PER_INCH


def typed(value_mm: float | None, shop: Shop) -> str:
    """A length as it stands in a field; nothing where nobody measured."""
    return "" if value_mm is None else fine_extent(value_mm, shop).replace(GAP, " ")


class LengthField(forms.CharField):
    """A length; empty is None, and what was not touched has not changed."""

    def __init__(self, *, shop: Shop, label: str, initial: str = "") -> None:
        self.bare_mm = bare_mm(shop)
        widget = forms.TextInput({"inputmode": "text", "autocomplete": "off", "maxlength": 40})
        super().__init__(required=False, max_length=40, widget=widget, label=label, initial=initial)

    def clean(self, value: object) -> float | None:
        """The millimetres that were written.

        Raises
        ------
        ValidationError
            If it is no length, or one that nobody has.
        """
        text = super().clean(value)
        if not text:
            return None
        try:
            found_mm = units.length_mm(text, bare_mm=self.bare_mm)
        except (ValueError, OverflowError) as error:
            raise forms.ValidationError(f"{self.label}: {error}") from error
        if not 0 <= found_mm <= MOST_MM:
            raise forms.ValidationError(f"{self.label}: {text} is longer than {MOST_MM:.0f} mm")
        return found_mm
