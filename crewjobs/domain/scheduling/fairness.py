"""How evenly the work is shared out among the crews, what unevenness costs, and how to lessen it.

A crew's utilisation is its minutes at sites over the minutes of its shifts; what counts is how far
each is from that of all crews together. The cost is a square, so no crew-day has a share of it by
itself: a search prices a minute of each crew by ``minute_prices``, the slope of the cost where the
plan is now, and takes what it finds if the true cost is lower.
"""

from collections import defaultdict
from collections.abc import Mapping
from math import sqrt

from crewjobs.domain.scheduling.board import Board, Draft

Minutes = Mapping[str, int]
"""Minutes of each crew."""


def work_min(board: Board, draft: Draft) -> dict[str, int]:
    """The minutes that each crew is at sites; crews without work too."""
    found = dict.fromkeys(board.open_min, 0)
    for k, order in draft.items():
        found[board.crew_days[k].crew] += sum(board.visits[i].duration_min for i in order)
    return found


def cost(board: Board, work: Minutes) -> int:
    """What it costs that some crews work a larger part of their shifts than others.

    Each crew's squared deviation of utilisation times ``Costs.uneven``, rounded down.
    """
    weight, shifts = board.costs.uneven, board.open_min
    open_all, work_all = sum(shifts.values()), sum(work.values())
    if not weight or not open_all:
        return 0
    return sum(
        weight * (work[crew] * open_all - work_all * shift) ** 2 // (shift * open_all) ** 2
        for crew, shift in shifts.items()
        if shift
    )


def minute_prices(board: Board, work: Minutes) -> dict[str, float]:
    """What one more minute at a site costs with each crew: below zero where work is wanted."""
    weight, shifts = board.costs.uneven, board.open_min
    open_all = sum(shifts.values())
    if not weight or not open_all:
        return dict.fromkeys(shifts, 0.0)
    mean_share = sum(work.values()) / open_all
    off_share = {
        crew: work[crew] / shift - mean_share if shift else 0.0 for crew, shift in shifts.items()
    }
    # One minute anywhere also lifts the mean, from which all the others are measured.
    lifted = sum(off_share.values()) / open_all
    return {
        crew: 2 * weight * (off_share[crew] / shift - lifted) if shift else 0.0
        for crew, shift in shifts.items()
    }


def utilisation_share(board: Board, work: Minutes) -> dict[str, float]:
    """The part of its shifts that each crew is at sites."""
    return {crew: work[crew] / shift for crew, shift in board.open_min.items() if shift}


def spread_share(board: Board, work: Minutes) -> float:
    """The standard deviation of the crews' utilisation over its mean; 0 is perfectly even."""
    shares = list(utilisation_share(board, work).values())
    mean = sum(shares) / len(shares) if shares else 0.0
    if not mean:
        return 0.0
    return sqrt(sum((share - mean) ** 2 for share in shares) / len(shares)) / mean


def changed(work: Minutes, board: Board, before: Draft, after: Draft) -> dict[str, int]:
    """The minutes of each crew when some crew-days hold other visits than before."""
    found = defaultdict(int, work)
    for sign, draft in ((-1, before), (1, after)):
        for k, order in draft.items():
            minutes = sum(board.visits[i].duration_min for i in order)
            found[board.crew_days[k].crew] += sign * minutes
    return dict(found)
