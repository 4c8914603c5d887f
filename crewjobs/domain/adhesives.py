"""How much adhesive a seam takes, in how many batches, and how long it may be worked.

It knows volumes, temperatures and one rule of thumb; the maker's own sheet overrides every figure.
It refuses to know brands, hardener and health: gloves, fresh air, no flame, and the data sheet.
"""

from dataclasses import dataclass
from math import ceil

from crewjobs.domain.facts import Seam, SeamMethod, Work, at_least, more_than_zero
from crewjobs.domain.limits import USUAL, Limits

GAP_MM = 1.5
"""Stone manual, ch. 17: a seam of 1/16 in."""
LITTLE_ML = 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """What an adhesive does at one temperature, from its maker's sheet.

    Raises
    ------
    ValueError
        If a time or amount is not above zero.
    """

    working_min: float = USUAL.working_min
    hard_min: float = USUAL.hard_min
    at_deg_c: float = 20.0
    """Where the shop's own limits hold."""
    halves_every_deg_c: float = USUAL.halves_every_deg_c
    """It suits the working time; full hardening of one epoxy fell by a factor of 3 in 10 degrees
    (its maker's chart)."""
    waste_share: float = USUAL.knife_waste_share
    """Squeezed out, left in the cup."""
    batch_ml: float = USUAL.batch_ml
    placing_min_per_m: float = USUAL.knife_min_per_m
    placing_min: float = USUAL.mixing_min
    """To mix and to begin."""

    def __post_init__(self) -> None:
        for name in ("working_min", "hard_min", "halves_every_deg_c", "batch_ml"):
            more_than_zero(name, getattr(self, name))
        for name in ("waste_share", "placing_min_per_m", "placing_min"):
            at_least(name, getattr(self, name), 0)


def sheet_of(method: SeamMethod, limits: Limits = USUAL) -> Sheet:
    """The sheet that the shop's limits make, where the maker's own is not at hand.

    Examples
    --------
    >>> sheet_of(SeamMethod.KNIFE_GRADE) == Sheet(), sheet_of(SeamMethod.FLOW_GRADE).waste_share
    (True, 0.2)
    """
    is_knife = method is SeamMethod.KNIFE_GRADE
    return Sheet(
        working_min=limits.working_min,
        hard_min=limits.hard_min,
        halves_every_deg_c=limits.halves_every_deg_c,
        waste_share=limits.knife_waste_share if is_knife else limits.flow_waste_share,
        batch_ml=limits.batch_ml,
        placing_min_per_m=limits.knife_min_per_m if is_knife else limits.flow_min_per_m,
        placing_min=limits.mixing_min,
    )


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
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Mixed:
    """What is mixed for one seam of a job."""

    seam: Seam
    takes: SeamAdhesive


def mixed(work: Work, limits: Limits = USUAL) -> tuple[Mixed, ...]:
    """What each seam takes at the temperature that is expected, by the shop's limits.

    Examples
    --------
    >>> from crewjobs.domain.facts import Piece
    >>> flat = ((0, 0), (2000, 0), (2000, 650), (0, 650))
    >>> tops = tuple(Piece(name=n, outline_mm=flat, thickness_mm=30) for n in "AB")
    >>> seam = Seam(name="A-B", first="A", second="B", length_mm=650)
    >>> (cool,), (hot,) = (
    ...     mixed(Work(pieces=tops, seams=(seam,), temperature_deg_c=deg_c)) for deg_c in (20, 35)
    ... )
    >>> cool.takes.batches, hot.takes.batches
    (1, 2)
    """
    thick = {piece.name: piece.thickness_mm for piece in work.pieces}
    return tuple(
        Mixed(
            seam=seam,
            takes=seam_adhesive(
                seam.length_mm,
                max(thick[seam.first], thick[seam.second]),
                temperature_deg_c=work.temperature_deg_c,
                sheet=sheet_of(seam.method, limits),
            ),
        )
        for seam in work.seams
    )
