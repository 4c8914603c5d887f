"""How many batches of adhesive a seam takes: how long one stays workable, how long placing takes.

The maker's data sheet goes before any figure here. Adhesives and solvents: fresh air, no flame,
gloves.
"""

from dataclasses import dataclass
from math import ceil

from crewjobs.domain.facts import Seam, SeamMethod, Work

WORKING_MIN = 5.0
"""At 20 °C; makers' sheets for polyester give 3 to 10 minutes until it gels. Not measured."""

USED_SHARE = 0.8
"""Not measured: how much of that is used, mixing taken off."""

PLACING_MIN = {SeamMethod.KNIFE_GRADE: 1.0, SeamMethod.FLOW_GRADE: 0.5}
"""Not measured: to begin with filling a seam."""

PLACING_M_MIN = {SeamMethod.KNIFE_GRADE: 4.0, SeamMethod.FLOW_GRADE: 1.5}
"""Not measured: for a metre of seam."""

DOUBLING_DEG_C = 10.0
"""The rule of thumb of the makers: ten degrees more halve the time."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Batches:
    """What a crew mixes for one seam."""

    seam: str
    method: SeamMethod
    working_min: float
    """How long one batch stays workable at the site's temperature."""
    placing_min: float
    batches: int


def batches(work: Work) -> tuple[Batches, ...]:
    """The batches of each seam, in the order of the seams; the next is mixed when one is used up.

    Examples
    --------
    >>> from crewjobs.domain.facts import Piece
    >>> flat = ((0, 0), (2000, 0), (2000, 650), (0, 650))
    >>> tops = tuple(Piece(name=n, outline_mm=flat, thickness_mm=30) for n in "AB")
    >>> seam = Seam(name="A-B", first="A", second="B", length_mm=650)
    >>> for deg_c in (20, 35):
    ...     (found,) = batches(Work(pieces=tops, seams=(seam,), temperature_deg_c=deg_c))
    ...     print(round(found.working_min, 1), round(found.placing_min, 1), found.batches)
    5.0 3.6 1
    1.8 3.6 3
    """
    return tuple(_batches(seam, work.temperature_deg_c) for seam in work.seams)


def _batches(seam: Seam, temperature_deg_c: float) -> Batches:
    working_min = WORKING_MIN * 2 ** ((20.0 - temperature_deg_c) / DOUBLING_DEG_C)
    placing_min = PLACING_MIN[seam.method] + PLACING_M_MIN[seam.method] * seam.length_mm / 1000
    return Batches(
        seam=seam.name,
        method=seam.method,
        working_min=working_min,
        placing_min=placing_min,
        batches=max(1, ceil(placing_min / (working_min * USED_SHARE) - 1e-9)),
    )
