"""How quantities are written, and the endings that name their units.

Inside, lengths are millimetres, masses kilograms, spans minutes. People type feet, inches and
fractions; :func:`length_mm` reads what they write and :func:`feet_inches` writes it back.
"""

import re
from fractions import Fraction

SUFFIXES = (
    "_mm", "_m2", "_mm2", "_m", "_kg", "_kg_m3", "_min", "_deg", "_deg_c", "_km", "_kmh", "_lat",
    "_share", "_factor", "_mpa", "_ml", "_log", "_cost", "_s", "_rad", "_lon",
)  # fmt: skip
"""A float's name ends in one of these."""

MM_PER_INCH = 25.4
"""Exact: the international inch, 1959."""

KG_PER_POUND = 0.45359237
"""Exact: the international pound, 1959."""

_FRACTIONS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_MARKS = str.maketrans({"\u2032": "'", "\u2033": '"', "\u2019": "'", "\u201d": '"'})
_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)(?:\s+\d+/\d+|-\d+/\d+)?|\d+/\d+"
_FEET_INCHES = re.compile(
    rf"(?:(?P<feet>{_NUMBER})\s*(?:'|ft|feet|foot)\s*-?\s*)?"
    rf"(?:(?P<inches>{_NUMBER})\s*(?P<inch_mark>\"|''|in|inch|inches)?)?"
)
_METRIC = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>mm|cm|m)")
_MASS = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>kg|lbs?)?")
_METRIC_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}


def _number(text: str) -> Fraction:
    return sum((Fraction(part) for part in re.split(r"[\s-]+", text.strip())), Fraction(0))


def length_mm(text: str, *, bare_mm: float = MM_PER_INCH) -> float:
    r"""The length that a person wrote, in millimetres.

    A number without a unit counts in `bare_mm` (inches unless told otherwise).

    Raises
    ------
    ValueError
        If the text is not a length, or its fraction divides by zero.

    Examples
    --------
    >>> length_mm("8' 2 1/2\"")
    2501.9
    >>> length_mm("8' - 2"), length_mm("-72")
    Traceback (most recent call last):
    ValueError: '-72' is not a length such as 8' 2 1/2", 98.5 in or 2502 mm
    >>> length_mm("98.5 in"), length_mm("98 1/2"), length_mm("2502 mm"), length_mm("1.5 m")
    (2501.9, 2501.9, 2502.0, 1500.0)
    """
    plain = text.strip().lower().translate(_MARKS)
    for sign, fraction in _FRACTIONS.items():
        plain = plain.replace(sign, f" {fraction}")
    plain = re.sub(r"\s+", " ", plain).strip()
    try:
        if metric := _METRIC.fullmatch(plain):
            return float(_number(metric["number"])) * _METRIC_MM[metric["unit"]]
        match = _FEET_INCHES.fullmatch(plain)
        if match is None or not (match["feet"] or match["inches"]):
            raise ValueError(f"{text!r} is not a length such as 8' 2 1/2\", 98.5 in or 2502 mm")
        feet, inches = _number(match["feet"] or "0"), _number(match["inches"] or "0")
    except ZeroDivisionError:
        raise ValueError(f"{text!r} divides by zero") from None
    if match["feet"] or match["inch_mark"]:
        return round(float((feet * 12 + inches) * Fraction("25.4")), 6)
    return round(float(inches) * bare_mm, 6)


def mass_kg(text: str, *, bare_kg: float = KG_PER_POUND) -> float:
    """The mass that a person wrote, in kilograms; without a unit it counts in `bare_kg`.

    Raises
    ------
    ValueError
        If the text is not a mass.

    Examples
    --------
    >>> mass_kg("25 kg"), round(mass_kg("55 lb"), 3), mass_kg("25", bare_kg=1)
    (25.0, 24.948, 25.0)
    """
    match = _MASS.fullmatch(text.strip().lower())
    if match is None:
        raise ValueError(f"{text!r} is not a mass such as 25 kg or 55 lb")
    unit_kg = {"": bare_kg, "kg": 1.0}.get(match["unit"] or "", KG_PER_POUND)
    return float(match["number"]) * unit_kg


def feet_inches(length_mm: float, *, parts: int = 16) -> str:
    r"""A length as feet, inches and a fraction, to the nearest `parts`-th of an inch.

    Examples
    --------
    >>> feet_inches(2501.9)
    '8\' 2 1/2"'
    >>> feet_inches(648), feet_inches(914.4)
    ('2\' 1 1/2"', '3\' 0"')
    >>> feet_inches(9.525), feet_inches(0)
    ('3/8"', '0"')
    """
    sign = "-" if length_mm < 0 else ""
    total = round(Fraction(abs(length_mm)).limit_denominator(10**6) / Fraction("25.4") * parts)
    whole, part = divmod(total, parts)
    feet, inches = divmod(whole, 12)
    fraction = str(Fraction(part, parts)) if part else ""
    head = f"{feet}' " if feet else ""
    small = f"{inches} {fraction}".strip() if inches or feet or not part else fraction
    return f'{sign}{head}{small}"'
