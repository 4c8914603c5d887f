"""The revised NIOSH lifting equation: what it recommends for one person, and the lifting index.

It knows one lift by one person with both hands. It refuses to know carrying, teams, stairs, one
hand, sitting or kneeling, narrow or cold places, things that may tip: the equation was not made for
them (page 6), and every result here is a way of ranking, never a permission.

References: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation,
DHHS (NIOSH) Publication 94-110, 1994, revised September 2021; pages are those of the revision.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import inf

NOT_COVERED = (
    "one person, both hands, no carrying beyond a step or two, no team, no stairs, no kneeling, no "
    "load that can tip (NIOSH 94-110, p. 6)"
)
LOAD_KG = 23.0
"""Page 12; in US units 51 lb, which is not the same."""
LEVEL_MM = 750.0
"""Page 12: knuckle height; coupling and frequency change here."""
NEAREST_MM, FURTHEST_MM = 250.0, 630.0
"""Page 14: hands nearer than this count as this; further away nothing is recommended."""
HIGHEST_MM = 1750.0
SHORTEST_TRAVEL_MM, LONGEST_TRAVEL_MM = 250.0, 1750.0
MOST_TWIST_DEG = 135.0
RARE = 0.2
"""Page 15: rarer lifts a minute count as this."""


class Duration(StrEnum):
    """How long the lifting goes on, with the rest that page 13 asks for."""

    SHORT = "up to 1 hour"
    MODERATE = "1 to 2 hours"
    LONG = "2 to 8 hours"


class Coupling(StrEnum):
    """How well the hands hold; a bare slab edge is poor."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


RATES = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
_LOW_SHORT = (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37)
_LOW_MODERATE = (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26)
_LOW_LONG = (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18)
FREQUENCY: dict[tuple[Duration, bool], tuple[float, ...]] = {
    (Duration.SHORT, False): _LOW_SHORT,
    (Duration.SHORT, True): (*_LOW_SHORT, 0.34, 0.31, 0.28),
    (Duration.MODERATE, False): _LOW_MODERATE,
    (Duration.MODERATE, True): (*_LOW_MODERATE, 0.23, 0.21),
    (Duration.LONG, False): _LOW_LONG,
    (Duration.LONG, True): (*_LOW_LONG, 0.15, 0.13),
}
"""Table 5, page 15, by duration and by whether the lift starts at knuckle height or higher; what a
column does not reach is 0."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Lift:
    """Where the hands are; for setting stone, at the end of the lift as well as at its start."""

    reach_mm: float = 300.0
    """From the ankles' middle to the hands."""
    height_mm: float = LEVEL_MM
    travel_mm: float = 250.0
    twist_deg: float = 0.0
    rate_per_min: float = RARE
    duration: Duration = Duration.SHORT
    coupling: Coupling = Coupling.POOR
    start_height_mm: float | None = None
    """Where the lift starts, if this is its end: the frequency goes by the start."""


def multipliers(lift: Lift) -> dict[str, float]:
    """The six multipliers by their short names in the manual, 0 beyond its limits.

    Examples
    --------
    >>> moderate = {"rate_per_min": 1, "duration": Duration.MODERATE}
    >>> lift = Lift(reach_mm=350, height_mm=300, travel_mm=600, **moderate)
    >>> {name: round(factor, 3) for name, factor in multipliers(lift).items()}
    {'HM': 0.714, 'VM': 0.865, 'DM': 0.895, 'AM': 1.0, 'FM': 0.88, 'CM': 0.9}
    """
    start_mm = lift.height_mm if lift.start_height_mm is None else lift.start_height_mm
    travel_mm = max(SHORTEST_TRAVEL_MM, lift.travel_mm)
    return {
        "HM": _within_factor(
            lift.reach_mm, FURTHEST_MM, NEAREST_MM / max(NEAREST_MM, lift.reach_mm)
        ),
        "VM": _within_factor(
            lift.height_mm, HIGHEST_MM, 1 - 0.003 * abs(lift.height_mm - LEVEL_MM) / 10
        ),
        "DM": _within_factor(lift.travel_mm, LONGEST_TRAVEL_MM, min(1.0, 0.82 + 45 / travel_mm)),
        "AM": _within_factor(lift.twist_deg, MOST_TWIST_DEG, 1 - 0.0032 * lift.twist_deg),
        "FM": frequency_factor(lift.rate_per_min, lift.duration, start_mm=start_mm),
        "CM": coupling_factor(lift.coupling, height_mm=lift.height_mm),
    }


def _within_factor(value: float, limit: float, factor: float) -> float:
    return factor if value <= limit else 0.0


def frequency_factor(
    rate_per_min: float, duration: Duration, *, start_mm: float = LEVEL_MM
) -> float:
    """The frequency multiplier for so many lifts a minute, interpolated as page 7 says.

    Examples
    --------
    >>> frequency_factor(13, Duration.SHORT), frequency_factor(13, Duration.SHORT, start_mm=740)
    (0.34, 0.0)
    """
    column = FREQUENCY[duration, start_mm >= LEVEL_MM]
    factors = (*column, *([0.0] * (len(RATES) - len(column))))
    if rate_per_min <= RARE:
        return factors[0]
    for place in range(len(RATES) - 1):
        low, high = RATES[place], RATES[place + 1]
        if rate_per_min <= high:
            share = (rate_per_min - low) / (high - low)
            return factors[place] + share * (factors[place + 1] - factors[place])
    return 0.0


def coupling_factor(coupling: Coupling, *, height_mm: float = LEVEL_MM) -> float:
    """The coupling multiplier.

    References
    ----------
    Table 7; the values for good and poor holds are from memory.

    Examples
    --------
    >>> coupling_factor(Coupling.FAIR), coupling_factor(Coupling.FAIR, height_mm=740)
    (1.0, 0.95)
    """
    if coupling is Coupling.FAIR:
        return 1.0 if height_mm >= LEVEL_MM else 0.95
    return 1.0 if coupling is Coupling.GOOD else 0.90


def recommended_kg(lift: Lift) -> float:
    """The recommended weight limit for one person.

    References
    ----------
    ``RWL = LC x HM x VM x DM x AM x FM x CM``, pages 1 and 7.

    Examples
    --------
    >>> round(recommended_kg(Lift(reach_mm=400)), 4)
    12.9375
    """
    found = LOAD_KG
    for factor in multipliers(lift).values():
        found *= factor
    return found


def index_factor(mass_kg: float, lift: Lift) -> float:
    """The lifting index: the load by the recommended limit. Above 3 nearly all are at risk (p. 20).

    Examples
    --------
    >>> round(index_factor(34.5, Lift(reach_mm=300)), 2)
    2.0
    """
    limit = recommended_kg(lift)
    return mass_kg / limit if limit else inf
