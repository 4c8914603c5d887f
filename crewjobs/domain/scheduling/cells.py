"""Each crew's day as a cell for one more visit: may it go there, at what extra cost, from when.

It judges nothing itself: rules and costs are those of ``evaluate``. The cheapest place of all is
found without reckoning every cell, by what the detour alone must cost.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from crewjobs.domain.scheduling import build, evaluate
from crewjobs.domain.scheduling.board import FOREVER, Board, Draft
from crewjobs.domain.scheduling.problem import CrewDay, Visit

Found = tuple[int, int, tuple[int, ...]]
"""The extra cost of one more visit, its crew-day and the order there."""


def cut(board: Board, crew_days: Iterable[int], visits: Iterable[int]) -> Board:
    """A small board of some crew-days and visits; what was after a visit not in it is free of it.

    What leaving out a visit costs stays what it is on the whole board.
    """
    chosen = list(visits)
    ids = {board.visits[i].id for i in chosen}
    small = small_board(
        board,
        tuple(board.crew_days[k] for k in crew_days),
        tuple(unlinked(board.visits[i], ids) for i in chosen),
    )
    small.price = [board.price[i] for i in chosen]
    return small


def small_board(board: Board, crew_days: tuple[CrewDay, ...], visits: tuple[Visit, ...]) -> Board:
    """A board of its own with the costs and the travel of another."""
    return Board(replace(board.problem, crew_days=crew_days, visits=visits))


def unlinked(visit: Visit, ids: Iterable[str] = ()) -> Visit:
    """The visit free of its parts and helpers, and of the order to others than these."""
    known = set(ids)
    after = visit.after if visit.after and visit.after.visit in known else None
    return replace(visit, after=after, continues=None, assists=None)


def held_still(board: Board) -> set[int]:
    """The visits that go on on another day, or that two crews meet at: here they do not move."""
    pairs = [
        (i, board.visit_number[other])
        for i, visit in enumerate(board.visits)
        if (other := visit.continues or visit.assists)
    ]
    return {i for pair in pairs for i in pair}


def open_days(board: Board, draft: Draft, visit: int) -> Sequence[int]:
    """The crew-days on a day that the visits before and after leave."""
    first, last = evaluate.day_span(board, evaluate.days_of(board, draft), visit)
    return [k for k, day in enumerate(board.day) if first <= day <= last]


def broken(board: Board, visit: int) -> list[tuple[str, ...]]:
    """The codes of all rules that the visit breaks on each crew-day, were it empty."""
    found = [evaluate.broken_rules(board, visit, k) for k in range(len(board.crew_days))]
    board.fit.update(((visit, k), not codes) for k, codes in enumerate(found))
    return found


def least_extra_cost(board: Board, crew_day: int, order: Sequence[int], visit: int) -> int:
    """What one more visit adds there at the very least: its detour, its late days, its move.

    References
    ----------
    True as long as no way by a third place is shorter than the direct one, which ``Travel`` asks.
    """
    drive, out, site = board.drive, board.drive[board.site[visit]], board.site
    here, depot = site[visit], board.depot[crew_day]
    detour, back = FOREVER, depot
    for there in (*(site[i] for i in order), depot):
        detour = min(detour, drive[back][here] + out[there] - drive[back][there])
        back = there
    fixed = evaluate.late_cost(board, visit, crew_day) + evaluate.away_cost(board, visit, crew_day)
    return board.costs.drive * detour + fixed + (0 if order else board.costs.crew_day)


def cheapest(
    board: Board,
    draft: Draft,
    visit: int,
    *,
    but: Iterable[int] = (),
    among: Iterable[int] | None = None,
) -> Found | None:
    """The least extra cost of one more visit, its crew-day and the order there; None if nowhere.

    `but` leaves crew-days aside, `among` looks at these alone.
    """
    days = set(open_days(board, draft, visit)) - set(but)
    chosen = days if among is None else days.intersection(among)
    bounds = sorted(
        (least_extra_cost(board, k, draft.get(k, ()), visit), k)
        for k in chosen
        if evaluate.fits(board, visit, k)
    )
    best: Found | None = None
    for bound, k in bounds:
        if best is not None and bound > best[0]:
            break
        found = build.cheapest_order(board, k, draft.get(k, ()), visit)
        if found is not None and (best is None or (found[0], k) < best[:2]):
            best = found[0], k, found[1]
    return best
