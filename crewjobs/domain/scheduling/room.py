"""Who would have to move for a visit to go to a crew's day: the crew-days around it planned anew.

The visit is forced there, and the nearest crew-days are planned exactly; all others hold still.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from crewjobs.domain.scheduling import build, cells, evaluate, search
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.columns import Limits, Lister
from crewjobs.domain.scheduling.problem import Move, Placed, Problem, Schedule, Slot

AROUND = 3
"""Crew-days planned anew, the forced one among them. With five, choosing took seconds at times."""

LOOKED_AT = 120
"""Crew-days that may take a visit from there, by the drive from their depot."""

LIMITS = Limits(routes=4_000)
"""Enough for every route of a crew-day with two dozen candidates."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """What it takes to have a visit on a crew's day."""

    visit: str
    crew: str
    day: date
    moves: tuple[Move, ...]
    """The others that would be elsewhere or at another time, or fall out of the plan."""
    extra_cost: int
    """What the plan then costs more, the visit's own price of being left out not counted."""
    after: Draft
    """The plan with it, by the numbers of the board."""


def room(problem: Problem, schedule: Schedule, *, visit: str, crew: str, day: date) -> Room | None:
    """Who would have to move, or fall out; None where the visit cannot be even then.

    Raises
    ------
    KeyError
        If there is no such visit or crew-day.
    """
    board = Board(problem)
    draft = build.draft_of(board, schedule)
    return room_on(board, draft, board.visit_number[visit], board.crew_day_number[crew, day])


def room_on(board: Board, draft: Draft, visit: int, crew_day: int) -> Room | None:
    """Who would have to move for a visit to be on a crew-day."""
    at = board.crew_days[crew_day]
    rest = {k: tuple(i for i in order if i != visit) for k, order in draft.items()}
    rest = {k: order for k, order in rest.items() if order}
    if visit in cells.held_still(board):
        return None
    around = _around(board, rest, crew_day)
    after = planned_anew(board, rest, around, [visit], forced={visit: crew_day})
    if after is None:
        return None
    return Room(
        visit=board.visits[visit].id,
        crew=at.crew,
        day=at.day,
        moves=_moves(board, rest, after, but=visit),
        extra_cost=_extra_cost(board, rest, after, but=visit),
        after=after,
    )


def planned_anew(
    board: Board,
    draft: Draft,
    crew_days: Sequence[int],
    visits: Iterable[int] = (),
    *,
    forced: dict[int, int] | None = None,
) -> Draft | None:
    """The draft with some crew-days planned exactly, with further visits offered to them.

    A forced visit goes to its crew-day whatever it costs; None where one cannot. Where nothing is
    cheaper, the draft comes back as it is, or with the forced ones put in one by one.
    """
    forced = forced or {}
    held = [i for k in crew_days for i in draft.get(k, ())]
    free = list(dict.fromkeys([*held, *visits]))
    small = _small(board, draft, crew_days, free, forced)
    part = _part(board, draft, free, forced, len(crew_days))
    start = _forced_in(board, draft, crew_days, forced)
    if start is None:
        return None
    below = _cost_now(board, start, free)
    found = search.best_routes(small, Lister(small, LIMITS), part, below=below)
    if found is None:
        return start
    after = {k: order for k, order in draft.items() if k not in crew_days}
    return after | {crew_days[q]: tuple(free[n] for n in order) for q, order in found.items()}


def _forced_in(
    board: Board, draft: Draft, crew_days: Sequence[int], forced: dict[int, int]
) -> Draft | None:
    """A draft to start from: the forced visits in their places, who gives way where it is cheapest.

    The better it is, the sooner the exact choice is made.
    """
    after = dict(draft)
    for i, k in forced.items():
        if not evaluate.fits(board, i, k) or k not in cells.open_days(board, after, i):
            return None
        order = after.get(k, ())
        while (found := build.cheapest_order(board, k, order, i)) is None:
            gone = min(order, key=lambda other: (board.price[other], other))
            order = tuple(other for other in order if other != gone)
        after[k] = found[1]
    lost = {i for k in crew_days for i in draft.get(k, ())} - set(evaluate.days_of(board, after))
    for i in sorted(lost, key=lambda other: (-board.price[other], other)):
        place = cells.cheapest(board, after, i, among=crew_days)
        if place is not None and place[0] < board.price[i]:
            after[place[1]] = place[2]
    return after


def _small(
    board: Board,
    draft: Draft,
    crew_days: Sequence[int],
    free: Sequence[int],
    forced: dict[int, int],
) -> Board:
    """The small board, what is forced or held still locked to its crew-day."""
    small = cells.cut(board, crew_days, free)
    slots = {i: board.crew_days[k] for i, k in forced.items()}
    at = {i: board.crew_days[k] for k in crew_days for i in draft.get(k, ())}
    slots |= {i: at[i] for i in cells.held_still(board) & at.keys()}
    if not slots:
        return small
    visits = tuple(
        replace(each, lock=each.lock or Slot(crew=slots[i].crew, day=slots[i].day))
        if i in slots
        else each
        for i, each in zip(free, small.visits, strict=True)
    )
    locked = cells.small_board(board, small.crew_days, visits)
    locked.price = small.price
    return locked


def _part(
    board: Board, draft: Draft, free: Sequence[int], forced: Collection[int], crew_days: int
) -> search.Part:
    """The small board as a whole, with the days that the visits held still leave."""
    chosen = set(free)
    days = {i: day for i, day in evaluate.days_of(board, draft).items() if i not in chosen}
    spans = []
    for i in free:
        before = board.predecessor.get(i)
        known = days
        if before is not None and before[0] in chosen:
            # The choice itself keeps their order; here the earlier one is as if long ago.
            known = {**days, before[0]: -before[1]}
        spans.append(evaluate.day_span(board, known, i))
    needed = (
        n
        for n, i in enumerate(free)
        if i in forced or any(later in days for later, _ in board.successors.get(i, ()))
    )
    return search.Part(
        crew_days=tuple(range(crew_days)),
        visits=tuple(range(len(free))),
        spans=tuple(spans),
        needed=frozenset(needed),
    )


def _cost_now(board: Board, draft: Draft, free: Sequence[int]) -> int:
    """What these visits and their crew-days cost as they are."""
    chosen = set(free)
    orders = {k: order for k, order in draft.items() if chosen.intersection(order)}
    placed = {i for order in orders.values() for i in order}
    cost = sum(evaluate.route_cost(board, k, order) or 0 for k, order in orders.items())
    return cost + sum(board.price[i] for i in chosen - placed)


def _around(board: Board, draft: Draft, crew_day: int) -> list[int]:
    """The crew-day and those that could best take what is on it."""
    held = draft.get(crew_day, ())
    best = [
        place[1]
        for i in held
        if (place := cells.cheapest(board, draft, i, but=(crew_day,), among=_near(board, i)))
    ]
    bounds = {
        k: cells.least_extra_cost(board, k, draft.get(k, ()), i)
        for i in held
        for k in _near(board, i)
        if k != crew_day and evaluate.fits(board, i, k)
    }
    nearest = sorted(bounds, key=lambda k: (bounds[k], k))
    others = _near(board, held[0]) if held else []
    return sorted(list(dict.fromkeys([crew_day, *best, *nearest, *others]))[:AROUND])


def _near(board: Board, visit: int) -> list[int]:
    """The crew-days whose depots are nearest to a visit."""
    out = board.drive[board.site[visit]]
    crew_days = range(len(board.crew_days))
    return sorted(crew_days, key=lambda k: (out[board.depot[k]], k))[:LOOKED_AT]


def _moves(board: Board, before: Draft, after: Draft, *, but: int) -> tuple[Move, ...]:
    changed = [k for k in {*before, *after} if before.get(k) != after.get(k)]
    old, new = (_stops(board, draft, changed) for draft in (before, after))
    names = sorted({*old, *new} - {board.visits[but].id})
    moves = (Move(visit=name, before=old.get(name), after=new.get(name)) for name in names)
    return tuple(move for move in moves if _slot(move.before) != _slot(move.after))


def _stops(board: Board, draft: Draft, crew_days: Iterable[int]) -> dict[str, Placed]:
    part = {k: draft[k] for k in crew_days if k in draft}
    return {stop.visit: stop for stop in evaluate.placements(board, part)}


def _slot(stop: Placed | None) -> tuple[object, ...]:
    return () if stop is None else (stop.crew, stop.day, stop.start_min)


def _extra_cost(board: Board, before: Draft, after: Draft, *, but: int) -> int:
    """What a draft costs more than another, the price of one visit left out not counted."""
    changed = [k for k in {*before, *after} if before.get(k) != after.get(k)]
    orders = [(k, before.get(k, ()), after.get(k, ())) for k in changed]
    extra = sum(
        (evaluate.route_cost(board, k, new) or 0) - (evaluate.route_cost(board, k, old) or 0)
        for k, old, new in orders
    )
    was = {i for _, old, _ in orders for i in old if i != but}
    now = {i for _, _, new in orders for i in new if i != but}
    return extra + sum(board.price[i] for i in was - now) - sum(board.price[i] for i in now - was)
