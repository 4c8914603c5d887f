"""In which order pieces lean on a truck's A-frame, so that each comes off when it is wanted.

`plan` is exact up to 16 pieces and a seeded search beyond; what it cannot keep it names.
`is_loadable` only says whether there is a way at all; `unloading` tells what comes off at each
stop, `securing` counts tie-downs by a published rule. It knows lengths, masses and stops; it
refuses to know axles, roads, straps that nobody pulled, and the people beside the frame.
"""

from crewjobs.domain.loading.frames import Costs, Frame, Item, item_of
from crewjobs.domain.loading.loadable import is_loadable
from crewjobs.domain.loading.plans import LoadPlan, Place, findings, plan, without_truck
from crewjobs.domain.loading.truck_days import TruckDay, truck_day

__all__ = [
    "Costs",
    "Frame",
    "Item",
    "LoadPlan",
    "Place",
    "TruckDay",
    "findings",
    "is_loadable",
    "item_of",
    "plan",
    "truck_day",
    "without_truck",
]
