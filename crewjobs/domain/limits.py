"""The limits that no publisher fixes: what each is, where it comes from, and the shop's own.

A published value stands as a constant beside its rule. What is common practice, recalled or
uncertain stands here instead, with its mark, and a shop sets its own. It knows no rule and no job.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from math import isfinite

Value = float
"""Of a limit, in the unit that its code ends in."""


class Mark(StrEnum):
    """How far a value can be relied on."""

    PUBLISHED = "published"
    PRACTICE = "common practice"
    MEMORY = "from memory"
    UNCERTAIN = "uncertain"


class Part(StrEnum):
    """What the limits are about."""

    CARRYING = "Carrying in"
    LIFTING = "Hands"
    RAILS = "Stone beside cutouts"
    STONE = "Edges, seams and holes"
    ADHESIVE = "Adhesive"
    LOADING = "On the truck"


UNITS = {
    "_min_per_m": "min/m", "_mm": "mm", "_kg": "kg", "_deg": "deg", "_deg_c": "C", "_min": "min",
    "_ml": "ml", "_mpa": "MPa", "_share": "share", "_factor": "factor",
}  # fmt: skip
"""The unit by the ending of a code."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """One limit as it is explained: its usual value, what it may be, its source and mark."""

    code: str
    value: float
    words: str
    source: str
    mark: Mark
    part: Part
    within: tuple[float, float]
    """The least and the most that it may be."""

    @property
    def unit(self) -> str:
        """The unit of the value; `share` and `factor` have none."""
        return next(unit for ending, unit in UNITS.items() if self.code.endswith(ending))

    def fault(self, value: object) -> str:
        """Why this cannot be the limit's value; empty where it can."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            return "must be a number"
        least, most = self.within
        if not least <= value <= most:
            return f"is {value:g}, it must be {least:g} to {most:g}"
        return ""


def _limit(
    part: Part,
    value: float,
    words: str,
    mark: Mark,
    *,
    source: str = "",
    within: tuple[float, float],
) -> Value:
    """A field of the limits; the class is typed as if the value stood there."""
    source = source or f"{mark}, not measured"
    told = {"part": part, "words": words, "mark": mark, "source": source, "within": within}
    return field(default=value, metadata=told)


_LENGTHS = (0.0, 2000.0)
_MINUTES = (0.1, 1440.0)
_DAYS_MIN = (1.0, 43_200.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """What counts in a shop.

    Raises
    ------
    ValueError
        Naming the limit and what it may be.

    Examples
    --------
    >>> Limits().rail_least_mm, Limits.of({"rail_least_mm": 75}).rail_least_mm
    (60.0, 75)
    """

    clear_side_mm: float = _limit(
        Part.CARRYING, 40.0, "kept free beside each face: padding, knuckles, door hardware",
        Mark.PRACTICE, within=_LENGTHS,
    )  # fmt: skip
    clear_end_mm: float = _limit(
        Part.CARRYING, 30.0, "kept free at each end", Mark.PRACTICE, within=_LENGTHS
    )
    clear_below_mm: float = _limit(
        Part.CARRYING, 60.0, "under the lower edge, above the floor or the nosing line",
        Mark.PRACTICE, within=_LENGTHS,
    )  # fmt: skip
    clear_above_mm: float = _limit(
        Part.CARRYING, 40.0, "over the upper edge", Mark.PRACTICE, within=_LENGTHS
    )
    pitch_most_deg: float = _limit(
        Part.CARRYING, 60.0, "how far a piece is pitched, one end up", Mark.PRACTICE,
        within=(0, 89),
    )  # fmt: skip
    lean_most_deg: float = _limit(
        Part.CARRYING, 30.0, "how far a piece is leaned out of upright", Mark.PRACTICE,
        within=(0, 89),
    )  # fmt: skip
    lift_wall_mm: float = _limit(
        Part.CARRYING, 250.0, "from a lift's landing to its cab, where nobody measured it",
        Mark.PRACTICE, within=_LENGTHS,
    )  # fmt: skip
    measure_again_mm: float = _limit(
        Part.CARRYING, 50.0, "a margin below this is measured again", Mark.PRACTICE,
        within=_LENGTHS,
    )  # fmt: skip
    part_from_cutout_mm: float = _limit(
        Part.CARRYING, 150.0, "a seam that is proposed keeps this far from a cutout", Mark.MEMORY,
        source="makers' sheets, 3 to 6 in, from memory", within=_LENGTHS,
    )  # fmt: skip
    alone_most_mm: float = _limit(
        Part.LIFTING, 1200.0, "the longest piece that one person carries", Mark.PRACTICE,
        within=(0, 5000),
    )  # fmt: skip
    single_kg: float = _limit(
        Part.LIFTING, 25.0, "what the guideline allows one person, close and at knuckle height",
        Mark.MEMORY, source="UK HSE, INDG143 and L23, for men; 16 kg for women; from memory",
        within=(1, 60),
    )  # fmt: skip
    team_factor: float = _limit(
        Part.LIFTING, 1.0, "what each may lift in a team, of what they may alone", Mark.UNCERTAIN,
        source="EN 1005-2 is said to take 0.85 for two", within=(0.1, 1),
    )  # fmt: skip
    strength_mpa: float = _limit(
        Part.RAILS, 30.0, "bending strength of the stone", Mark.UNCERTAIN,
        source="the low end of makers' figures by EN 14617-2, 31 to 97; granite at least 8.27, "
        "marble 6.89 (ASTM C880 as quoted in a trader's table)",
        within=(1, 200),
    )  # fmt: skip
    shock_factor: float = _limit(
        Part.RAILS, 2.0, "for lifting and setting down", Mark.PRACTICE, within=(1, 10)
    )
    rail_safety_factor: float = _limit(
        Part.RAILS, 3.0, "below this safety factor a stiffener belongs across the cutout",
        Mark.PRACTICE, within=(1, 20),
    )  # fmt: skip
    rail_least_mm: float = _limit(
        Part.RAILS, 60.0, "the narrowest strip beside a cutout without a stiffener",
        Mark.UNCERTAIN, source="trade figures for a front rail run from 2 1/2 to 4 in",
        within=(0, 500),
    )  # fmt: skip
    grip_from_cutout_mm: float = _limit(
        Part.RAILS, 100.0, "no grip nearer to a cutout", Mark.PRACTICE, within=_LENGTHS
    )
    corner_radius_mm: float = _limit(
        Part.STONE, 9.525, "the least radius of a large cutout's corners", Mark.UNCERTAIN,
        source="one fabricator's published least radius, 3/8 in; no standard's own figure was seen",
        within=(0, 200),
    )  # fmt: skip
    hole_most_mm: float = _limit(
        Part.STONE, 12.7, "a hole for a dishwasher's fastening stays below this depth",
        Mark.PRACTICE, within=(0, 100),
    )  # fmt: skip
    hole_left_mm: float = _limit(
        Part.STONE, 6.0, "the stone that stays above such a hole", Mark.PRACTICE, within=(0, 100)
    )
    thin_below_mm: float = _limit(
        Part.STONE, 25.0, "stone below this thickness counts as 2 cm, other stone as 3 cm",
        Mark.PRACTICE, source="our reading: the manual speaks of 2 and 3 cm alone",
        within=(10, 60),
    )  # fmt: skip
    felt_mm: float = _limit(
        Part.STONE, 0.1, "a step at a seam's edge that is not felt", Mark.PRACTICE, within=(0, 2)
    )
    cold_deg_c: float = _limit(
        Part.ADHESIVE, 10.0, "below this the stone is warmed or the visit moved", Mark.PRACTICE,
        within=(-30, 40),
    )  # fmt: skip
    working_min: float = _limit(
        Part.ADHESIVE, 5.0, "how long adhesive stays soft at 20 C", Mark.MEMORY,
        source="polyester, 3 to 10 min at 20 to 25 C, from memory; the maker's sheet comes first",
        within=_MINUTES,
    )  # fmt: skip
    hard_min: float = _limit(
        Part.ADHESIVE, 12.0, "until adhesive is hard at 20 C", Mark.UNCERTAIN, within=_MINUTES
    )
    halves_every_deg_c: float = _limit(
        Part.ADHESIVE, 10.0, "so many degrees more halve these times", Mark.PRACTICE,
        source="a rule of thumb in one epoxy maker's glossary", within=(1, 50),
    )  # fmt: skip
    knife_waste_share: float = _limit(
        Part.ADHESIVE, 0.35, "wasted of knife grade: squeezed out, left in the cup",
        Mark.UNCERTAIN, within=(0, 5),
    )  # fmt: skip
    flow_waste_share: float = _limit(
        Part.ADHESIVE, 0.2, "wasted of flow grade", Mark.UNCERTAIN, within=(0, 5)
    )
    batch_ml: float = _limit(Part.ADHESIVE, 100.0, "mixed at once", Mark.PRACTICE, within=(1, 5000))
    knife_min_per_m: float = _limit(
        Part.ADHESIVE, 3.5, "to bring in a metre of knife grade", Mark.UNCERTAIN, within=(0, 100)
    )
    flow_min_per_m: float = _limit(
        Part.ADHESIVE, 2.0, "to bring in a metre of flow grade", Mark.UNCERTAIN, within=(0, 100)
    )
    mixing_min: float = _limit(
        Part.ADHESIVE, 1.0, "to mix and to begin", Mark.UNCERTAIN, within=(0, 60)
    )
    sink_hold_min: float = _limit(
        Part.ADHESIVE, 1440.0, "from setting a sink at 20 C until it is loaded", Mark.PRACTICE,
        source="general texts on epoxy, 24 h; the maker's sheet comes first", within=_DAYS_MIN,
    )  # fmt: skip
    silicone_cure_min: float = _limit(
        Part.ADHESIVE, 1440.0, "from silicone until water comes to it", Mark.PRACTICE,
        source="one maker's answers: a water test after 24 h; the maker's sheet comes first",
        within=_DAYS_MIN,
    )  # fmt: skip
    silicone_cold_min: float = _limit(
        Part.ADHESIVE, 2880.0, "the same where it is colder than stone is bonded at",
        Mark.PRACTICE, source="the same answers: 48 h where it is cold or dry", within=_DAYS_MIN,
    )  # fmt: skip
    frame_pad_mm: float = _limit(
        Part.LOADING, 12.0, "between two pieces on the frame", Mark.PRACTICE, within=(0, 200)
    )
    frame_free_overhang_mm: float = _limit(
        Part.LOADING, 150.0, "so much over the piece behind is of no matter", Mark.PRACTICE,
        within=(0, 3000),
    )  # fmt: skip
    frame_most_overhang_mm: float = _limit(
        Part.LOADING, 500.0, "no piece reaches further over the one behind it", Mark.PRACTICE,
        within=(0, 3000),
    )  # fmt: skip
    frame_free_imbalance_kg: float = _limit(
        Part.LOADING, 60.0, "so much more on one side is of no matter", Mark.PRACTICE,
        within=(0, 5000),
    )  # fmt: skip
    frame_most_imbalance_kg: float = _limit(
        Part.LOADING, 350.0, "the most that one side bears more than the other, at any stop",
        Mark.PRACTICE, within=(0, 5000),
    )  # fmt: skip
    frame_side_share: float = _limit(
        Part.LOADING, 0.5, "of the payload on one side, where the truck does not say",
        Mark.PRACTICE, within=(0.1, 1),
    )  # fmt: skip
    rack_height_mm: float = _limit(
        Part.LOADING, 0.0, "pieces up to this high stand in a rack of their own; 0 where there is "
        "none", Mark.PRACTICE, within=(0, 1000),
    )  # fmt: skip
    rack_kg: float = _limit(
        Part.LOADING, 100.0, "what that rack bears", Mark.PRACTICE, within=(0, 2000)
    )

    def __post_init__(self) -> None:
        for known in KNOWN.values():
            if fault := known.fault(getattr(self, known.code)):
                raise ValueError(f"{known.code} {fault}")

    @classmethod
    def of(cls, own: Mapping[str, float]) -> "Limits":
        """A shop's limits: its own where it has one, the usual ones elsewhere."""
        return cls(**{code: value for code, value in own.items() if code in KNOWN})


KNOWN: dict[str, Known] = {
    each.name: Known(code=each.name, value=float(str(each.default)), **each.metadata)
    for each in fields(Limits)
}
"""Every limit by its code, in the order of the parts."""

USUAL = Limits()
"""Where a shop has set none of its own."""


def faults(own: Mapping[str, object]) -> dict[str, str]:
    """What is wrong with a shop's own limits, by code; nothing where all will do.

    Examples
    --------
    >>> faults({"rail_least_mm": -1, "height_mm": 3, "batch_ml": "much"})
    ... # doctest: +NORMALIZE_WHITESPACE
    {'rail_least_mm': 'is -1, it must be 0 to 500', 'height_mm': 'there is no such limit',
     'batch_ml': 'must be a number'}
    """
    said = {
        code: KNOWN[code].fault(value) if code in KNOWN else "there is no such limit"
        for code, value in own.items()
    }
    return {code: fault for code, fault in said.items() if fault}
