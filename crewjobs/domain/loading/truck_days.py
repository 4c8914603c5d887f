"""Everything that is told of a truck's day: its plan, what other limits cost, its tie-downs."""

from collections.abc import Sequence
from dataclasses import dataclass

from crewjobs.domain.loading.frames import Frame, Item
from crewjobs.domain.loading.overhangs import AtLimit, at_limits
from crewjobs.domain.loading.plans import LoadPlan, plan, without_truck
from crewjobs.domain.loading.securing import Tied, tied
from crewjobs.domain.loading.unloading import Step, loading, unloading


@dataclass(frozen=True, kw_only=True, slots=True)
class TruckDay:
    """One load from its departure to the last stop."""

    plan: LoadPlan
    on: tuple[Step, ...]
    """What goes on, in that order."""
    off: dict[int, tuple[Step, ...]]
    """What comes off at each stop, in that order."""
    limits: tuple[AtLimit, ...]
    left_tied: Tied
    right_tied: Tied

    @property
    def mass_kg(self) -> float:
        """Of everything on the truck."""
        rack_kg = sum(item.mass_kg for item in self.plan.rack)
        return self.left_tied.mass_kg + self.right_tied.mass_kg + rack_kg

    @property
    def apart_kg(self) -> tuple[tuple[int, float], ...]:
        """Left less right on departure, as 0, and after each stop that takes stone off."""
        leaning = {place.item.stop for place in self.plan.left + self.plan.right}
        return tuple(zip((0, *sorted(leaning)), self.plan.imbalance_kg, strict=False))


def truck_day(items: Sequence[Item], frame: Frame | None) -> TruckDay:
    """The day of a truck with this frame; without one, that there is none."""
    found = plan(items, frame) if frame else without_truck(items)
    return TruckDay(
        plan=found,
        on=loading(found),
        off=unloading(found),
        limits=at_limits(items, frame, found) if frame and items else (),
        left_tied=tied([place.item for place in found.left]),
        right_tied=tied([place.item for place in found.right]),
    )
