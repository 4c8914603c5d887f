"""Which crew does which visit on which day.

``solve`` makes a plan, ``verify`` judges any plan without knowing how it was made, ``compare``
says what moves between two, ``why_unplaced`` and ``why_not`` give reasons.
"""

from crewjobs.domain.scheduling import evaluate, explain, long_routes
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.build import first_draft, standing
from crewjobs.domain.scheduling.by_hand import Wish, moved
from crewjobs.domain.scheduling.explain import compare, why_not, why_unplaced
from crewjobs.domain.scheduling.improve import Found, improved
from crewjobs.domain.scheduling.links import in_parts
from crewjobs.domain.scheduling.problem import (
    LUNCH,
    After,
    Break,
    CostBreakdown,
    Costs,
    CrewDay,
    Horizon,
    Move,
    Placed,
    Problem,
    Progress,
    Promised,
    Reason,
    Schedule,
    Slot,
    Stop,
    Unplaced,
    Visit,
    Window,
    after_iterations,
)
from crewjobs.domain.scheduling.shared import shared_out
from crewjobs.domain.scheduling.travel import GreatCircle, Place, Traffic, Travel
from crewjobs.domain.scheduling.verify import verify

__all__ = [
    "LUNCH",
    "After",
    "Break",
    "CostBreakdown",
    "Costs",
    "CrewDay",
    "GreatCircle",
    "Horizon",
    "Move",
    "Place",
    "Placed",
    "Problem",
    "Progress",
    "Promised",
    "Reason",
    "Schedule",
    "Slot",
    "Stop",
    "Traffic",
    "Travel",
    "Unplaced",
    "Visit",
    "Window",
    "Wish",
    "after_iterations",
    "compare",
    "in_parts",
    "moved",
    "solve",
    "verify",
    "why_not",
    "why_unplaced",
]


def solve(problem: Problem, *, seed: int, stop: Stop, warm: Schedule | None = None) -> Schedule:
    """A plan in which no hard rule is broken; what finds no place in it is named with reasons.

    `warm` is the plan to start from; what no longer fits in it is taken out and placed anew. The
    same problem, seed, warm plan and number of iterations give the same plan. The search ends by
    itself when the plan is proven to be the cheapest.
    """
    board = Board(problem)
    if long_routes.IS_INSTALLED and long_routes.are_usual(board):
        proposed = long_routes.proposed(board, standing(board, warm), seed=seed, stop=stop)
        found = Found(proposed, lower_bound=None)
    elif problem.costs.uneven:
        found = shared_out(board, first_draft(board, warm), seed=seed, stop=stop)
    else:
        found = improved(board, first_draft(board, warm), seed=seed, stop=stop)
    return Schedule(
        placed=evaluate.placements(board, found.draft),
        unplaced=explain.unplaced(board, found.draft),
        cost=evaluate.breakdown(board, found.draft),
        lower_bound=found.lower_bound,
    )
