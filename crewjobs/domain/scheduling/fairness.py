"""How evenly the work is shared out among the crews, what unevenness costs, and how to lessen it.

A crew's utilisation is its minutes at sites over the minutes of its shifts; what counts is how far
each is from that of all crews together. The cost is a square, so no crew-day has a share of it by
itself: a search prices a minute of each crew by ``minute_prices``, the slope of the cost where the
plan is now, and takes what it finds if the true cost is lower.
"""

from collections.abc import Mapping
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Slope:
    """How a few crew-days may be planned anew so that the work is shared out more evenly."""

    prices: Mapping[str, float]
    """Of a minute at a site with each crew."""
    held: Mapping[str, int]
    """The minutes of those crew-days now."""
    spans: Mapping[str, tuple[float, float]]
    """How few and how many they may be: beyond, the slope would lead too far."""


def slope(board: Board, work: Minutes, draft: Draft) -> Slope:
    """The slope for the crew-days of a part of the draft; `work` is of all of it.

    A crew may come as far as to its even share, and half a usual visit further.
    """
    held = work_min(board, draft)
    lengths = [visit.duration_min for visit in board.visits]
    beyond = sum(lengths) / len(lengths) / 2 if lengths else 0.0
    mean_share = sum(work.values()) / (sum(board.open_min.values()) or 1)
    spans = {}
    for crew, shift in board.open_min.items():
        lacks = mean_share * shift - work[crew]
        spans[crew] = (held[crew] + min(0.0, lacks) - beyond, held[crew] + max(0.0, lacks) + beyond)
    return Slope(minute_prices(board, work), held, spans)


def utilisation_share(board: Board, work: Minutes) -> dict[str, float]:
    """The part of its shifts that each crew is at sites."""
    return {crew: work[crew] / shift for crew, shift in board.open_min.items() if shift}


def spread_share(board: Board, work: Minutes) -> float:
    """The standard deviation of the crews' utilisation over its mean; 0 is perfectly even.

    Examples
    --------
    >>> from datetime import date
    >>> from crewjobs.domain.scheduling.problem import CrewDay, Place, Problem
    >>> yard, monday = Place(at_lat=0, at_lon=0), date(2030, 1, 7)
    >>> crews = tuple(CrewDay(crew=crew, day=monday, depot=yard) for crew in "AB")
    >>> board = Board(Problem(crew_days=crews, visits=()))
    >>> round(spread_share(board, {"A": 300, "B": 100}), 3)
    0.5
    """
    shares = list(utilisation_share(board, work).values())
    mean = sum(shares) / len(shares) if shares else 0.0
    if not mean:
        return 0.0
    return sqrt(sum((share - mean) ** 2 for share in shares) / len(shares)) / mean
