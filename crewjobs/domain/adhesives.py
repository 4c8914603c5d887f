"""How much adhesive a seam takes, in how many batches, and how long it may be worked.

It knows volumes, temperatures and one rule of thumb; the maker's own sheet overrides every figure.
It refuses to know brands, hardener and health: gloves, fresh air, no flame, and the data sheet.
"""

from dataclasses import dataclass
from math import ceil

from crewjobs.domain.facts import SeamMethod, at_least, more_than_zero

GAP_MM = 1.5
"""Stone manual, ch. 17: a seam of 1/16 in."""
COLD_DEG_C = 10.0
"""Common practice: below it the stone is warmed or the visit moved."""
LITTLE_ML = 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """What an adhesive does at one temperature, from its maker's sheet.

    Raises
    ------
    ValueError
        If a time or amount is not above zero.
    """

    working_min: float = 5.0
    """Polyester: 3 to 10 at 20 to 25 C, from memory."""
    hard_min: float = 12.0
    """Not measured."""
    at_deg_c: float = 20.0
    halves_every_deg_c: float = 10.0
    """A rule of thumb: 10 degrees more halve the time. It suits the working time; full hardening of
    one epoxy fell by a factor of 3 (its maker's chart)."""
    waste_share: float = 0.35
    """Not measured: squeezed out, left in the cup."""
    batch_ml: float = 100.0
    """Common practice."""
    placing_min_per_m: float = 3.5
    """Not measured."""
    placing_min: float = 1.0
    """Not measured: to mix and to begin."""

    def __post_init__(self) -> None:
        for name in ("working_min", "hard_min", "halves_every_deg_c", "batch_ml"):
            more_than_zero(name, getattr(self, name))
        for name in ("waste_share", "placing_min_per_m", "placing_min"):
            at_least(name, getattr(self, name), 0)


SHEETS = {
    SeamMethod.KNIFE_GRADE: Sheet(),
    SeamMethod.FLOW_GRADE: Sheet(waste_share=0.2, placing_min_per_m=2.0),
}
"""Where the shop has no sheet of its own; not measured."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SeamAdhesive:
    """What one seam takes."""

    volume_ml: float
    batches: int
    working_min: float
    """From mixing on, at this temperature."""
    hard_min: float
    placing_min: float
    """What bringing it in takes."""
    is_cold: bool

    @property
    def is_too_slow(self) -> bool:
        """Whether one batch would set before the seam is filled."""
        return self.placing_min > self.working_min


def time_factor(sheet: Sheet, temperature_deg_c: float) -> float:
    """How much longer everything takes than at the sheet's temperature.

    Examples
    --------
    >>> time_factor(Sheet(at_deg_c=25), 35), time_factor(Sheet(at_deg_c=25), 45)
    (0.5, 0.25)
    """
    return float(2 ** ((sheet.at_deg_c - temperature_deg_c) / sheet.halves_every_deg_c))


def seam_adhesive(
    length_mm: float,
    thickness_mm: float,
    *,
    temperature_deg_c: float = 20.0,
    gap_mm: float = GAP_MM,
    sheet: Sheet | None = None,
) -> SeamAdhesive:
    """What a seam of this length takes, as many batches as volume or working time ask for.

    Raises
    ------
    ValueError
        If a size is not above zero.

    References
    ----------
    Length x thickness x gap, and what is wasted.

    Examples
    --------
    >>> found = seam_adhesive(648, 30)
    >>> round(found.volume_ml), found.batches, round(found.placing_min, 1)
    (39, 1, 3.3)
    """
    for name, size in (
        ("length_mm", length_mm),
        ("thickness_mm", thickness_mm),
        ("gap_mm", gap_mm),
    ):
        more_than_zero(name, size)
    used = sheet or Sheet()
    slower = time_factor(used, temperature_deg_c)
    volume = length_mm * thickness_mm * gap_mm * (1 + used.waste_share) / 1000
    working = used.working_min * slower
    placing = used.placing_min_per_m * length_mm / 1000 + used.placing_min
    batches = max(ceil(volume / used.batch_ml - LITTLE_ML), ceil(placing / working - LITTLE_ML))
    return SeamAdhesive(
        volume_ml=volume,
        batches=max(1, batches),
        working_min=working,
        hard_min=used.hard_min * slower,
        placing_min=placing,
        is_cold=temperature_deg_c < COLD_DEG_C,
    )
