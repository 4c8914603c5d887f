"""In which order pieces lean on a truck's A-frame, so that each comes off when it is wanted.

`plan` is exact up to 16 pieces and a seeded search beyond; what it cannot keep it names. It knows
lengths, masses and stops; it refuses to know axles, roads, straps that nobody pulled, and the
people beside the frame. `securing` counts tie-downs by a published rule.
"""

from crewjobs.domain.loading.frames import Costs, Frame, Item, item_of
from crewjobs.domain.loading.plans import LoadPlan, Place, plan

__all__ = ["Costs", "Frame", "Item", "LoadPlan", "Place", "item_of", "plan"]
