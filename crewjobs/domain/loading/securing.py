"""How many tie-downs a load asks for, and how strong: counts for commercial trucks in the US.

It knows no straps, anchor points or edges, and no other country's rule. At any usual lean the
straps hold a slab, not the lean. Nobody stands where a slab may fall.
"""

from collections.abc import Collection
from dataclasses import dataclass
from math import ceil

from crewjobs.domain.loading.frames import Item
from crewjobs.domain.units import KG_PER_POUND, MM_PER_INCH

SOURCE = "49 CFR 393.102(b), 393.106(d), 393.110(b) and (c), as copied by others; no rule for stone"
CAUTION = (
    "Local rules for the load come first. Keep clear of where a slab can fall; the rest stays tied "
    "while one comes off."
)
SHORT_MM = 5 * 12 * MM_PER_INCH
"""393.110(b): 5 feet."""
LIGHT_KG = 1100 * KG_PER_POUND
"""393.110(b): 1,100 pounds."""
TEN_FEET_MM = 10 * 12 * MM_PER_INCH
"""393.110(b) and (c): one more for each 10 feet or part of it."""
LIMIT_SHARE = 0.5
"""393.106(d): the working load limits together, of the mass. A tie-down from the truck to the piece
counts half its own; from memory."""
DOWN_SHARE = 0.2
"""393.102(b): the force downwards, of the weight, where the body does not hold the piece all round.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Tied:
    """What the pieces of one side ask for, taken as one load."""

    length_mm: float
    mass_kg: float
    tie_downs: int
    blocked_tie_downs: int
    """Where a header or a bulkhead keeps them from moving forward."""
    least_limit_kg: float
    """Of the working load limits together."""
    down_kg: float
    """The pull downwards, as the weight of a mass."""


def tied(items: Collection[Item]) -> Tied:
    """What a side asks for; nothing where it is empty.

    Examples
    --------
    >>> top = Item(name="A", length_mm=2400, height_mm=650, thickness_mm=30, mass_kg=112, stop=1)
    >>> tied([top]).tie_downs, tied([top]).least_limit_kg, tied([]).tie_downs
    (2, 56.0, 0)
    """
    long_mm = max((item.length_mm for item in items), default=0.0)
    heavy_kg = sum(item.mass_kg for item in items)
    return Tied(
        length_mm=long_mm,
        mass_kg=heavy_kg,
        tie_downs=tie_downs(long_mm, heavy_kg) if items else 0,
        blocked_tie_downs=tie_downs(long_mm, heavy_kg, is_blocked=True) if items else 0,
        least_limit_kg=least_limit_kg(heavy_kg),
        down_kg=down_kg(heavy_kg),
    )


def tie_downs(length_mm: float, mass_kg: float, *, is_blocked: bool = False) -> int:
    """The least number of tie-downs; fewer if the load is blocked at its front.

    Examples
    --------
    >>> tie_downs(3000, 680), tie_downs(3000, 680, is_blocked=True)
    (2, 1)
    """
    if is_blocked:
        return max(1, ceil(length_mm / TEN_FEET_MM - 1e-9))
    if length_mm <= SHORT_MM + 1e-6:
        return 1 if mass_kg <= LIGHT_KG + 1e-6 else 2
    return 2 + max(0, ceil((length_mm - TEN_FEET_MM) / TEN_FEET_MM - 1e-9))


def least_limit_kg(mass_kg: float) -> float:
    """The least sum of working load limits.

    Examples
    --------
    >>> least_limit_kg(600)
    300.0
    """
    return LIMIT_SHARE * mass_kg


def down_kg(mass_kg: float) -> float:
    """The least pull downwards, as the weight of a mass.

    Examples
    --------
    >>> down_kg(600)
    120.0
    """
    return DOWN_SHARE * mass_kg
