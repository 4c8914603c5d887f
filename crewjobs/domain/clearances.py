"""What is kept free around a carried piece, and what a crew does with it; a shop sets its own."""

from dataclasses import dataclass, fields
from math import inf


@dataclass(frozen=True, kw_only=True, slots=True)
class Clearances:
    """The shop's own figures. None is measured: common practice at most.

    Raises
    ------
    ValueError
        If one is below zero, or an angle is not below 90 degrees.
    """

    side_mm: float = 40.0
    """Beside each face: padding, knuckles, door hardware. No room for bodies."""
    end_mm: float = 30.0
    """At each end."""
    lift_mm: float = 60.0
    """Under the lower edge, above the floor or the nosing line."""
    head_mm: float = 40.0
    """Over the upper edge."""
    most_pitch_deg: float = 60.0
    """How far the crew pitches a piece, one end up."""
    most_lean_deg: float = 30.0
    """How far it leans out of upright."""
    lift_wall_mm: float = 250.0
    """From a lift's landing to its cab, where nobody measured it."""
    measure_again_mm: float = 50.0
    """A margin below this is no margin."""

    def __post_init__(self) -> None:
        for name in (each.name for each in fields(self)):
            if not 0 <= (value := getattr(self, name)) < inf:
                raise ValueError(f"{name} is {value:g}, the least is 0")
        if max(self.most_pitch_deg, self.most_lean_deg) >= 90:
            raise ValueError("a piece is pitched and leaned by less than 90 degrees")

    def __str__(self) -> str:
        return (
            f"{self.side_mm:g} mm beside each face, {self.end_mm:g} at each end, "
            f"{self.lift_mm:g} below, {self.head_mm:g} above"
        )
