"""How quantities are written on pages: by the shop's units, with spaces that keep them together.

A template library: every template has these filters. Lengths and masses take the shop.
"""

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
MM2_PER_SQUARE_FOOT = (12 * MM_PER_INCH) ** 2


@register.filter
def extent(value_mm: float | None, shop: Shop) -> str:
    """A length: `8' 2 1/2"`, or `2502 mm`; a dash where nobody measured."""
    if value_mm is None:
        return NOTHING
    if shop.units == Units.METRIC:
        return f"{value_mm:.0f}{GAP}mm"
    return feet_inches(value_mm).replace(" ", GAP)


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
