"""The kit of a visit as pages and sheets write it: amounts in the shop's units."""

from collections.abc import Iterable
from dataclasses import dataclass

from crewjobs.domain.kit import GUESS, Line, Unit
from crewjobs.domain.units import MM_PER_INCH
from crewjobs.models import Shop, Units
from crewjobs.web.wording import GAP, area, extent, in_units, mass

ML_PER_GALLON, OUNCES = 231 * (MM_PER_INCH / 10) ** 3, 128
"""US gallon: 231 cubic inches, 128 fluid ounces."""
LITRE_ML = 1000.0
LITTLE_ML = 10.0
"""What is less is measured out in millilitres everywhere."""


@dataclass(frozen=True, kw_only=True, slots=True)
class KitRow:
    """One line of the kit in words."""

    group: str
    thing: str
    """Its name alone, without sizes."""
    amount: str
    name: str
    why: str
    source: str
    is_guess: bool
    """Its amount follows from no more than common practice."""


def kit_rows(lines: Iterable[Line], shop: Shop) -> list[KitRow]:
    """The lines in the shop's units."""
    return [
        KitRow(
            group=str(line.group),
            thing=line.name,
            amount=amount(line, shop),
            name=named(line, shop),
            why=line.why,
            source=in_units(line.source, shop),
            is_guess=GUESS in line.source,
        )
        for line in lines
    ]


def rules(rows: Iterable[KitRow]) -> dict[str, str]:
    """Where the amounts come from: each rule once, with the things that it counts."""
    counted: dict[str, dict[str, None]] = {}
    for row in rows:
        counted.setdefault(row.source, {})[row.thing] = None
    return {source: ", ".join(things) for source, things in counted.items()}


def cautions(lines: Iterable[Line]) -> tuple[str, ...]:
    """What the lines warn of, each saying once, as sentences."""
    found = dict.fromkeys(line.caution for line in lines if line.caution)
    return tuple(f"{caution[:1].upper()}{caution[1:]}." for caution in found)


def amount(line: Line, shop: Shop) -> str:
    """How much of a line there is."""
    if line.value is None:
        return "as needed"
    if line.unit is Unit.COUNT:
        return f"{line.value:g}"
    say = {Unit.LENGTH: run, Unit.AREA: area, Unit.VOLUME: volume}[line.unit]
    return say(line.value, shop)


def named(line: Line, shop: Shop) -> str:
    """What a line is, with the size and the load of each where they matter."""
    said = line.name
    if line.size_mm is not None:
        said += f", {extent(line.size_mm, shop)}"
    if line.load_kg is not None:
        said += f", for at least {mass(line.load_kg, shop)}"
    return said


def volume(value_ml: float, shop: Shop) -> str:
    """A volume: `39 ml`, `10.4 l`; first US ounces or gallons where the shop counts so."""
    large = value_ml >= LITRE_ML
    metric = f"{value_ml / LITRE_ML:.1f}{GAP}l" if large else f"{value_ml:.3g}{GAP}ml"
    if shop.units == Units.METRIC or value_ml < LITTLE_ML:
        return metric
    if large:
        return f"{value_ml / ML_PER_GALLON:.1f}{GAP}gal ({metric})"
    return f"{value_ml / ML_PER_GALLON * OUNCES:.3g}{GAP}fl{GAP}oz ({metric})"


def run(value_mm: float, shop: Shop) -> str:
    """A length that is cut from a roll: `2.6 m`, `9 ft`."""
    if shop.units == Units.METRIC:
        return f"{value_mm / 1000:.1f}{GAP}m"
    return f"{value_mm / MM_PER_INCH / 12:.1f}{GAP}ft"
