"""The on-site hours of a visit: a network of tasks worked by the team, adhesive curing beside.

``estimate`` gives P50, P80 and P90 with a breakdown and a working plan; ``standard_minutes`` lists
what a shop may change; ``elements.found`` lists the parts of the work. No figure says
that the work is safe.
"""

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.breakdown import Line
from crewjobs.domain.hours.crew_plan import PlannedTask
from crewjobs.domain.hours.design import Finished
from crewjobs.domain.hours.estimate import Estimate, estimate, shorter
from crewjobs.domain.hours.learning import fit
from crewjobs.domain.hours.model import Model, Suspect
from crewjobs.domain.hours.standards import StandardTime, standard_minutes

__all__ = [
    "Estimate",
    "Finished",
    "Line",
    "Model",
    "PlannedTask",
    "StandardTime",
    "Suspect",
    "elements",
    "estimate",
    "fit",
    "shorter",
    "standard_minutes",
]
