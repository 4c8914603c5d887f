"""How quantities are written on pages: by the shop's units, with spaces that keep them together.

A template library: every template has these filters. Lengths and masses take the shop.
"""

import re
from math import isnan

from django import template
from django.utils.dateparse import parse_datetime
from django.utils.timezone import localtime

from crewjobs.domain.units import KG_PER_POUND, MM_PER_INCH, feet_inches
from crewjobs.models import Shop, Units

register = template.Library()

GAP = "\u00a0"
"""A space at which no line breaks."""
NOTHING = "\u2013"
"""Where nobody measured or nothing is known."""
LONG_MM = 76.2
"""From 3 inches on, sixteenths of an inch are fine enough."""
FRACTIONS, NEAR_SHARE = 64, 0.13
"""A length is written as a fraction where it is so near, 0.05 mm, to a 64th of an inch."""
MM2_PER_SQUARE_FOOT = (12 * MM_PER_INCH) ** 2


@register.filter
def extent(value_mm: float | None, shop: Shop) -> str:
    """A length: `8' 2 1/2"`, or `2502 mm`; a dash where nobody measured."""
    if value_mm is None:
        return NOTHING
    if shop.units == Units.METRIC:
        return f"{value_mm:.0f}{GAP}mm"
    return feet_inches(value_mm).replace(" ", GAP)


def fine_extent(value_mm: float, shop: Shop) -> str:
    """A length that may be small: `0.8 mm`; `1/32"`, or `2.36"` where no fraction comes near."""
    if shop.units == Units.METRIC:
        return f"{value_mm:.4g}{GAP}mm"
    if value_mm >= LONG_MM:
        return extent(value_mm, shop)
    inches = value_mm / MM_PER_INCH
    if abs(inches * FRACTIONS - round(inches * FRACTIONS)) < NEAR_SHARE:
        return feet_inches(value_mm, parts=FRACTIONS).replace(" ", GAP)
    return f'{inches:.3g}"'


@register.filter
def in_units(message: str, shop: Shop | None) -> str:
    """A message of the checks, which count in mm and kg, in the shop's units and plain words.

    Before there is a shop it stays as it is.
    """
    if shop is None:
        return message
    is_metric = shop.units == Units.METRIC

    def shown(match: re.Match[str]) -> str:
        value, unit = float(match["value"]), match["unit"]
        if unit == "mm":
            return fine_extent(value, shop)
        if unit == "kg":
            return mass(value, shop)
        if unit == "deg":
            return f"{value:g}°"
        return f"{value:g}{GAP}°C" if is_metric else f"{value * 1.8 + 32:.0f}{GAP}°F"

    said = _NAMED.sub(r"\g<name>_\g<unit> is \g<value> \g<unit>\g<rest>", message)
    said = _LIMITED.sub(r"\g<start> \g<unit>\g<says> \g<limit> \g<unit>", said)
    said = _QUANTITY.sub(shown, said)
    return _NAME.sub(lambda match: match["name"].replace("_", " "), said)


_NUMBER = r"-?\d+(?:\.\d+)?"
_NAMED = re.compile(rf"(?P<name>\b[a-z_]+)_(?P<unit>mm|kg|deg) is (?P<value>{_NUMBER})(?P<rest>\b)")
"""What a fact refuses: `width_mm is 0, ...`."""
_LIMITED = re.compile(
    rf"(?P<start>{_NUMBER}) (?P<unit>mm|kg|deg)"
    rf"(?P<says>,? (?:the (?:least|most) is|it must be more than)) (?P<limit>{_NUMBER})"
    r"(?![\d.]*\d| ?(?:mm|kg|deg)\b)"
)
"""A limit that takes the unit of the value before it."""
_QUANTITY = re.compile(rf"(?<![\w.])(?P<value>{_NUMBER}) (?P<unit>mm|kg|deg|C)\b")
_NAME = re.compile(r"\b(?P<name>[a-z]+(?:_[a-z]+)*)_(?:mm2|mm|kg_m3|kg|deg_c|deg|m2|min)\b")


@register.filter
def mass(value_kg: float, shop: Shop) -> str:
    """A mass in whole pounds or kilograms."""
    if shop.units == Units.METRIC:
        return f"{value_kg:.0f}{GAP}kg"
    return f"{value_kg / KG_PER_POUND:.0f}{GAP}lb"


@register.filter
def area(value_m2: float, shop: Shop) -> str:
    """An area in square metres or square feet."""
    if shop.units == Units.METRIC:
        return f"{value_m2:.2f}{GAP}m²"
    return f"{value_m2 * 1e6 / MM2_PER_SQUARE_FOOT:.1f}{GAP}sq{GAP}ft"


@register.filter
def hours(value_min: float | None) -> str:
    """A span: `3:05` is three hours and five minutes; a dash where there is none."""
    if value_min is None:
        return NOTHING
    sign = "\u2212" if value_min < -0.5 else ""
    whole, rest = divmod(abs(round(value_min)), 60)
    return f"{sign}{whole}:{rest:02d}"


@register.filter
def money(cents: int, shop: Shop) -> str:
    """An amount in the shop's currency."""
    return f"{shop.currency}{GAP}{cents / 100:,.2f}"


@register.filter
def percent(value_share: float) -> str:
    """A share in whole percents; a dash where nothing is known."""
    if isnan(value_share):
        return NOTHING
    return f"{value_share:.0%}".replace("%", f"{GAP}%")


@register.filter
def minutes(value_min: float) -> str:
    """Minutes as they are counted with, to three figures: `12`, `7.5`, `0.0278`."""
    return f"{value_min:.3g}" if value_min < 1000 else f"{value_min:.0f}"


@register.filter
def against(value_factor: float) -> str:
    """A factor in words: `18 % longer`, `7 % shorter`, `the same`."""
    off = round(100 * (value_factor - 1))
    if not off:
        return "the same"
    return f"{abs(off)}{GAP}% {'longer' if off > 0 else 'shorter'}"


@register.filter
def shown(value: object) -> object:
    """A detail of the log: a moment on the clock of the page, anything else as it is."""
    try:
        at = parse_datetime(value) if isinstance(value, str) else None
    except ValueError:
        return value
    return value if at is None or at.tzinfo is None else f"{localtime(at):%a %d %b %H:%M}"


@register.filter
def words(value: str) -> str:
    """A name that machines use, as words: `job.hold` is `job hold`."""
    return str(value).replace(".", " ").replace("_", " ").replace("-", " ")
