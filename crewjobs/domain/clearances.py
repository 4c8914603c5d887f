"""What is kept free around a carried piece, and what a crew does with it; a shop sets its own."""

from dataclasses import dataclass, fields
from math import inf

from crewjobs.domain.limits import USUAL, Limits


@dataclass(frozen=True, kw_only=True, slots=True)
class Clearances:
    """The shop's own figures. None is measured: common practice at most.

    Raises
    ------
    ValueError
        If one is below zero, or an angle is not below 90 degrees.
    """

    side_mm: float = USUAL.clear_side_mm
    """Beside each face: padding, knuckles, door hardware. No room for bodies."""
    end_mm: float = USUAL.clear_end_mm
    """At each end."""
    lift_mm: float = USUAL.clear_below_mm
    """Under the lower edge, above the floor or the nosing line."""
    head_mm: float = USUAL.clear_above_mm
    """Over the upper edge."""
    most_pitch_deg: float = USUAL.pitch_most_deg
    """How far the crew pitches a piece, one end up."""
    most_lean_deg: float = USUAL.lean_most_deg
    """How far it leans out of upright."""
    lift_wall_mm: float = USUAL.lift_wall_mm
    """From a lift's landing to its cab, where nobody measured it."""
    measure_again_mm: float = USUAL.measure_again_mm
    """A margin below this is no margin."""

    def __post_init__(self) -> None:
        for name in (each.name for each in fields(self)):
            if not 0 <= (value := getattr(self, name)) < inf:
                raise ValueError(f"{name} is {value:g}, the least is 0")
        if max(self.most_pitch_deg, self.most_lean_deg) >= 90:
            raise ValueError("a piece is pitched and leaned by less than 90 degrees")

    @classmethod
    def by(cls, limits: Limits) -> "Clearances":
        """Those that a shop's limits hold."""
        return cls(
            side_mm=limits.clear_side_mm,
            end_mm=limits.clear_end_mm,
            lift_mm=limits.clear_below_mm,
            head_mm=limits.clear_above_mm,
            most_pitch_deg=limits.pitch_most_deg,
            most_lean_deg=limits.lean_most_deg,
            lift_wall_mm=limits.lift_wall_mm,
            measure_again_mm=limits.measure_again_mm,
        )

    def __str__(self) -> str:
        return (
            f"{self.side_mm:g} mm beside each face, {self.end_mm:g} mm at each end, "
            f"{self.lift_mm:g} mm below, {self.head_mm:g} mm above"
        )
