"""What the customer or the builder is asked some days before a crew comes to install.

The questions are those of the walk-through: whoever answers last is believed.
"""

from crewjobs.domain.questions.walk_through import (
    APPLIANCES,
    CABINETS_FIXED,
    GAS_OFF,
    PARKING,
    PATH_CLEAR,
    POWER,
    ROOMS_WARM,
    SOMEBODY,
    TOPS_REMOVED,
    WATER,
)

QUESTIONS = (
    CABINETS_FIXED,
    TOPS_REMOVED,
    APPLIANCES,
    GAS_OFF,
    POWER,
    WATER,
    ROOMS_WARM,
    PATH_CLEAR,
    PARKING,
    SOMEBODY,
)
