"""The on-site hours of a visit: a network of tasks worked by the team, adhesive curing beside.

``estimate`` gives P50, P80 and P90 with a breakdown and a working plan; ``standard_minutes`` lists
what a shop may change; ``elements.found`` lists the parts of the work. No figure says
that the work is safe.
"""

from crewjobs.domain.hours import elements
from crewjobs.domain.hours.estimate import Estimate, Line, PlannedTask, estimate
from crewjobs.domain.hours.factors import Factors, Spread
from crewjobs.domain.hours.standards import StandardTime, standard_minutes

__all__ = [
    "Estimate",
    "Factors",
    "Line",
    "PlannedTask",
    "Spread",
    "StandardTime",
    "elements",
    "estimate",
    "standard_minutes",
]
