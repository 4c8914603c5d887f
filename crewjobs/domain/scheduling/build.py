"""A first plan: what is kept of an earlier one, then each visit where it adds least.

It never takes back what it has placed; that is for the search.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from crewjobs.domain.scheduling import evaluate, links
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Schedule, Slot


def first_draft(board: Board, warm: Schedule | None) -> Draft:
    """A draft that breaks no rule, near the warm plan or else near what was published."""
    return inserted(board, standing(board, warm))


def standing(board: Board, warm: Schedule | None) -> Draft:
    """What can stay of the warm plan, or else of what was published."""
    if warm is not None:
        return draft_of(board, warm)
    return kept(board, {visit.id: visit.promise for visit in board.visits if visit.promise})


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
    return of_orders(board, orders)


def of_orders(board: Board, orders: Mapping[int, Sequence[int]]) -> Draft:
    """What can stay of orders of visits; where some do not go together, the lesser leave."""
    draft = {k: _feasible_part(board, k, order) for k, order in sorted(orders.items())}
    return _together(board, _in_sequence(board, {k: order for k, order in draft.items() if order}))


def _together(board: Board, draft: Draft) -> Draft:
    """The draft without groups that are torn, or that keep each other waiting for too long."""
    while board.groups:
        gone = links.torn(board, draft) or _late_helpers(board, draft)
        if not gone:
            break
        draft = _in_sequence(board, _without(draft, gone))
    return draft


def _late_helpers(board: Board, draft: Draft) -> set[int]:
    """Of the groups with helpers the cheapest one whose crew-days cannot be timed together."""
    for pair in links.placed_pairs(board, draft):
        crew_day = next(k for k, order in draft.items() if pair[0] in order)
        near = links.coupled(board, draft, crew_day, pair[0])
        if evaluate.joint_cost(board, draft, near) is None:
            held = {i for k in near for i in draft[k] if links.is_linked(board, i)}
            return set(board.groups[min(held, key=lambda i: (group_price(board, i), i))])
    return set()


def group_price(board: Board, visit: int) -> int:
    """What it costs to leave out a visit and those that go with it."""
    return sum(board.price[i] for i in board.groups.get(visit, (visit,)))


def _without(draft: Draft, gone: Collection[int]) -> Draft:
    orders = {k: tuple(i for i in order if i not in gone) for k, order in draft.items()}
    return {k: order for k, order in orders.items() if order}


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
        draft = _without(draft, early)


def inserted(board: Board, draft: Draft) -> Draft:
    """The draft with each missing visit where it adds least, if leaving it out costs more."""
    draft = dict(draft)
    waiting = sorted(evaluate.left_out(board, draft), key=lambda i: _urgency(board, i))
    while waiting:
        days = evaluate.days_of(board, draft)
        visit = next((i for i in waiting if not _waits(board, days, waiting, i)), waiting[0])
        if links.is_linked(board, visit):
            waiting = [i for i in waiting if i not in board.groups[visit]]
            draft |= cheapest_group(board, draft, visit) or {}
            continue
        waiting.remove(visit)
        best = cheapest_place(board, draft, visit, days)
        if best is not None and best[0] < board.price[visit]:
            draft[best[1]] = best[2]
    return draft


def cheapest_group(board: Board, draft: Draft, visit: int) -> Draft | None:
    """The crew-days changed by a visit and all that go with it where that adds least.

    None if there is no place for all of them, or if leaving them out costs less.
    """
    best: tuple[int, Draft] = group_price(board, visit), {}
    for k in range(len(board.crew_days)):
        found = _group_from(board, draft, visit, k)
        if found is not None and found[0] < best[0]:
            best = found
    return best[1] or None


def _group_from(board: Board, draft: Draft, visit: int, crew_day: int) -> tuple[int, Draft] | None:
    """The extra cost of a group whose first visit is on a crew-day, and the crew-days changed."""
    trial, extra = dict(draft), 0
    for member, options in links.places(board, board.groups[visit], crew_day):
        found = _cheapest_of(board, trial, member, options)
        if found is None:
            return None
        extra, trial = extra + found[0], {**trial, found[1]: found[2]}
    days = evaluate.days_of(board, trial)
    spans = {i: evaluate.day_span(board, days, i) for i in board.groups[visit]}
    is_in_order = all(first <= days[i] <= last for i, (first, last) in spans.items())
    if not is_in_order or links.torn(board, trial):
        return None
    return extra, {k: order for k, order in trial.items() if order != draft.get(k)}


def _cheapest_of(
    board: Board, draft: Draft, visit: int, crew_days: Iterable[int]
) -> tuple[int, int, tuple[int, ...]] | None:
    """The least extra cost of one more visit on some crew-days, which one and its order."""
    found = [
        (best[0], k, best[1])
        for k in crew_days
        if evaluate.fits(board, visit, k) and (best := cheapest_in(board, draft, k, visit))
    ]
    return min(found, default=None)


def _waits(board: Board, days: dict[int, int], waiting: Sequence[int], visit: int) -> bool:
    group = board.groups.get(visit, (visit,))
    before = {board.predecessor[i][0] for i in group if i in board.predecessor}.difference(group)
    return any(each not in days and each in waiting for each in before)


def _urgency(board: Board, visit: int) -> tuple[int, int, int]:
    """Dear ones first, then those with little choice, then the long ones."""
    who = board.visits[visit]
    choice = 10**9
    if who.windows is not None:
        choice = sum(w.latest_min - w.earliest_min for w in who.windows)
    return -group_price(board, visit), choice, -who.duration_min


def cheapest_place(
    board: Board,
    draft: Draft,
    visit: int,
    days: dict[int, int],
) -> tuple[int, int, tuple[int, ...]] | None:
    """The least extra cost of one more visit, its crew-day and the order there; None if nowhere."""
    first, last = evaluate.day_span(board, days, visit)
    least = sorted(
        (_least_extra(board, draft.get(k, ()), k, visit), k)
        for k in range(len(board.crew_days))
        if first <= board.day[k] <= last and evaluate.fits(board, visit, k)
    )
    best: tuple[int, int, tuple[int, ...]] | None = None
    for least_extra, k in least:
        if best is not None and least_extra > best[0]:
            break
        found = cheapest_in(board, draft, k, visit)
        if found is not None and (best is None or (found[0], k) < best[:2]):
            best = found[0], k, found[1]
    return best


def _least_extra(board: Board, order: tuple[int, ...], crew_day: int, visit: int) -> int:
    """What one more visit on a crew-day costs at least: its detour, being late, sending a crew."""
    alone = evaluate.late_cost(board, visit, crew_day) + evaluate.away_cost(board, visit, crew_day)
    alone += 0 if order else board.costs.crew_day
    return alone + board.costs.drive * min(_detours(board, order, crew_day, visit))


def _detours(board: Board, order: tuple[int, ...], crew_day: int, visit: int) -> Iterator[int]:
    """The further minutes of driving for one more visit at each place of an order.

    No table of drives has a way round by the visit that is shorter, so none is below zero.
    """
    there = board.site[visit]
    for here, then in pairwise(_sites(board, order, crew_day)):
        yield board.drive[here][there] + board.drive[there][then] - board.drive[here][then]


def _drive_min(board: Board, order: tuple[int, ...], crew_day: int) -> int:
    return sum(board.drive[here][then] for here, then in pairwise(_sites(board, order, crew_day)))


def _sites(board: Board, order: tuple[int, ...], crew_day: int) -> list[int]:
    depot = board.depot[crew_day]
    return [depot, *(board.site[i] for i in order), depot]


def cheapest_in(
    board: Board, draft: Draft, crew_day: int, visit: int
) -> tuple[int, tuple[int, ...]] | None:
    """The same as `cheapest_order` in a draft, with the crews that wait for one another."""
    order, near = draft.get(crew_day, ()), links.coupled(board, draft, crew_day, visit)
    if len(near) == 1:
        return cheapest_order(board, crew_day, order, visit)
    before = evaluate.joint_cost(board, draft, near)
    trials = [(*order[:at], visit, *order[at:]) for at in range(len(order) + 1)]
    costs = [
        (evaluate.joint_cost(board, {**draft, crew_day: trial}, near), trial) for trial in trials
    ]
    return min(
        ((cost - (before or 0), trial) for cost, trial in costs if cost is not None), default=None
    )


def cheapest_order(
    board: Board, crew_day: int, order: tuple[int, ...], visit: int
) -> tuple[int, tuple[int, ...]] | None:
    """The least extra cost of one more visit on a crew-day and the order; None if there is none."""
    detours = list(_detours(board, order, crew_day, visit))
    room = board.latest_end[crew_day] - board.shift_start[crew_day]
    room -= sum(board.visits[i].duration_min for i in (*order, visit))
    if board.problem.traffic.is_even:
        room -= _drive_min(board, order, crew_day)
    if room < 0:
        return None
    before = evaluate.route_cost(board, crew_day, order) or 0
    alone = 0 if order else board.costs.crew_day
    best: tuple[int, tuple[int, ...]] | None = None
    for at in sorted(range(len(detours)), key=detours.__getitem__):
        if best is not None and board.costs.drive * detours[at] + alone > best[0]:
            break
        if board.problem.traffic.is_even and detours[at] > room:
            break
        trial = (*order[:at], visit, *order[at:])
        cost = evaluate.route_cost(board, crew_day, trial)
        if cost is not None and (best is None or (cost - before, trial) < best):
            best = cost - before, trial
    return best
