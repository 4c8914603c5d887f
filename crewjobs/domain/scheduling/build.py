"""A first plan: what is kept of an earlier one, then each visit where it adds least.

It never takes back what it has placed; that is for the search.
"""

from collections.abc import Sequence

from crewjobs.domain.scheduling import evaluate
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Schedule, Slot


def first_draft(board: Board, warm: Schedule | None) -> Draft:
    """A draft that breaks no rule, near the warm plan or else near what was published."""
    if warm is not None:
        return inserted(board, draft_of(board, warm))
    promised = {visit.id: visit.promise for visit in board.visits if visit.promise}
    return inserted(board, kept(board, promised))


def draft_of(board: Board, schedule: Schedule) -> Draft:
    """What of a plan still breaks no rule."""
    stops = schedule.placed
    return kept(
        board,
        {
            stop.visit: Slot(crew=stop.crew, day=stop.day, start_min=stop.start_min)
            for stop in stops
        },
    )


def kept(board: Board, slots: dict[str, Slot]) -> Draft:
    """What can stay of the given slots; of visits that no longer go together the lesser leave."""
    orders: dict[int, list[int]] = {}
    for name, slot in sorted(slots.items(), key=lambda item: (item[1].start_min or 0, item[0])):
        crew_day = board.crew_day_number.get((slot.crew, slot.day))
        visit = board.visit_number.get(name)
        if crew_day is not None and visit is not None and evaluate.fits(board, visit, crew_day):
            orders.setdefault(crew_day, []).append(visit)
    draft = {k: _feasible_part(board, k, order) for k, order in sorted(orders.items())}
    return _in_sequence(board, {k: order for k, order in draft.items() if order})


def _feasible_part(board: Board, crew_day: int, order: Sequence[int]) -> tuple[int, ...]:
    """The visits, in their order, without the cheapest ones that stand in the way."""
    left = list(order)
    while left and evaluate.route(board, crew_day, left) is None:
        left.remove(min(left, key=lambda visit: (board.price[visit], -order.index(visit))))
    return tuple(left)


def _in_sequence(board: Board, draft: Draft) -> Draft:
    """The draft without the visits that come too early for those they come after."""
    while True:
        days = evaluate.days_of(board, draft)
        early = {i for i in days if days[i] < evaluate.day_span(board, days, i)[0]}
        if not early:
            return draft
        orders = {k: tuple(i for i in order if i not in early) for k, order in draft.items()}
        draft = {k: order for k, order in orders.items() if order}


def inserted(board: Board, draft: Draft) -> Draft:
    """The draft with each missing visit where it adds least, if leaving it out costs more."""
    draft = dict(draft)
    waiting = sorted(evaluate.left_out(board, draft), key=lambda i: _urgency(board, i))
    while waiting:
        days = evaluate.days_of(board, draft)
        visit = next((i for i in waiting if not _waits(board, days, waiting, i)), waiting[0])
        waiting.remove(visit)
        best = cheapest_place(board, draft, visit, days)
        if best is not None and best[0] < board.price[visit]:
            draft[best[1]] = best[2]
    return draft


def _waits(board: Board, days: dict[int, int], waiting: Sequence[int], visit: int) -> bool:
    before = board.predecessor.get(visit)
    return before is not None and before[0] not in days and before[0] in waiting


def _urgency(board: Board, visit: int) -> tuple[int, int, int]:
    """Dear ones first, then those with little choice, then the long ones."""
    who = board.visits[visit]
    choice = 10**9
    if who.windows is not None:
        choice = sum(w.latest_min - w.earliest_min for w in who.windows)
    return -board.price[visit], choice, -who.duration_min


def cheapest_place(
    board: Board,
    draft: Draft,
    visit: int,
    days: dict[int, int],
) -> tuple[int, int, tuple[int, ...]] | None:
    """The least extra cost of one more visit, its crew-day and the order there; None if nowhere."""
    first, last = evaluate.day_span(board, days, visit)
    best: tuple[int, int, tuple[int, ...]] | None = None
    for k in range(len(board.crew_days)):
        if not (first <= board.day[k] <= last and evaluate.fits(board, visit, k)):
            continue
        found = cheapest_order(board, k, draft.get(k, ()), visit)
        if found is not None and (best is None or found[0] < best[0]):
            best = found[0], k, found[1]
    return best


def cheapest_order(
    board: Board, crew_day: int, order: tuple[int, ...], visit: int
) -> tuple[int, tuple[int, ...]] | None:
    """The least extra cost of one more visit on a crew-day and the order; None if there is none."""
    work = sum(board.visits[i].duration_min for i in (*order, visit))
    if work > board.latest_end[crew_day] - board.shift_start[crew_day]:
        return None
    before = evaluate.route_cost(board, crew_day, order) or 0
    trials = [(*order[:at], visit, *order[at:]) for at in range(len(order) + 1)]
    costs = [(evaluate.route_cost(board, crew_day, trial), trial) for trial in trials]
    return min(((cost - before, trial) for cost, trial in costs if cost is not None), default=None)
