"""Which crew does which visit on which day.

``solve`` makes a plan, ``verify`` judges any plan without knowing how it was made, ``compare``
says what moves between two, ``why_unplaced`` and ``why_not`` give reasons.
"""

from collections.abc import Callable

from crewjobs.domain.scheduling.problem import (
    LUNCH,
    After,
    Break,
    CostBreakdown,
    Costs,
    CrewDay,
    Move,
    Placed,
    Problem,
    Progress,
    Reason,
    Schedule,
    Slot,
    Unplaced,
    Visit,
    Window,
)
from crewjobs.domain.scheduling.travel import GreatCircle, Place, Travel

__all__ = [
    "LUNCH",
    "After",
    "Break",
    "CostBreakdown",
    "Costs",
    "CrewDay",
    "GreatCircle",
    "Move",
    "Place",
    "Placed",
    "Problem",
    "Progress",
    "Reason",
    "Schedule",
    "Slot",
    "Stop",
    "Travel",
    "Unplaced",
    "Visit",
    "Window",
    "after_iterations",
    "solve",
]

Stop = Callable[[Progress], bool]
"""Asked before every iteration; True ends the search with the best plan so far."""


def after_iterations(most: int, *, idle: int | None = None) -> Stop:
    """A stop rule that counts, so that the same seed gives the same plan on any machine."""

    def stop(progress: Progress) -> bool:
        return progress.iterations >= most or (idle is not None and progress.idle >= idle)

    return stop


def solve(problem: Problem, *, seed: int, stop: Stop, warm: Schedule | None = None) -> Schedule:
    """A plan in which no hard rule is broken; what finds no place in it is named with reasons.

    `warm` is the plan to start from; what no longer fits in it is taken out and placed anew. The
    same problem, seed, warm plan and number of iterations give the same plan.
    """
    raise NotImplementedError
