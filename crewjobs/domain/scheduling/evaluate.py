"""The only definition of what a crew-day may hold, when its visits start and what it costs.

It plans nothing: everything that plans asks here or, where it reckons in bulk, is tested against
this. A visit starts as early as it can; one that was published for that day may instead wait for
the published start, or for the first that is still as told, whichever is cheapest.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from crewjobs.domain.scheduling import fairness, links
from crewjobs.domain.scheduling.board import (
    FOREVER,
    NEVER,
    Board,
    Draft,
    Span,
    arrival_windows,
    clock,
    worked,
)
from crewjobs.domain.scheduling.problem import CostBreakdown, CrewDay, Placed, Visit

EPSILON = 1e-6
"""Kilograms or millimetres that are rounding, not load."""

RULES: Mapping[str, Callable[[Visit, CrewDay], bool]] = {
    "too_few_hands": lambda visit, at: visit.hands > at.hands,
    "skill_missing": lambda visit, at: not visit.skills <= at.skills,
    "over_payload": lambda visit, at: visit.mass_kg > at.payload_kg + EPSILON,
    "piece_too_long": lambda visit, at: visit.longest_piece_mm > at.frame_length_mm + EPSILON,
    "frame_full": lambda visit, at: visit.load_thickness_mm > at.frame_thickness_mm + EPSILON,
    "locked_elsewhere": lambda visit, at: (
        visit.lock is not None and (visit.lock.crew, visit.lock.day) != (at.crew, at.day)
    ),
    "not_ready": lambda visit, at: visit.ready_on is not None and at.day < visit.ready_on,
    "after_last_day": lambda visit, at: visit.latest_on is not None and at.day > visit.latest_on,
}
"""What speaks against a visit on a crew-day that is empty, whatever the hour. True: broken."""


NO_FLOORS: Mapping[int, int] = {}


@dataclass(frozen=True, kw_only=True, slots=True)
class Route:
    """A crew-day with its times, in worked minutes."""

    starts: tuple[int, ...]
    drive: int
    overtime: int
    late_cost: int
    outside_cost: int
    moved_cost: int
    cost: int
    """All of it."""


def broken_rules(board: Board, visit: int, crew_day: int) -> tuple[str, ...]:
    """The codes of all rules that a visit breaks on the empty crew-day."""
    codes = _broken_alone(board, visit, crew_day)
    is_held = not board.is_promised_to(visit, crew_day) and is_frozen(board, visit)
    return (*codes, "frozen") if is_held else codes


def is_frozen(board: Board, visit: int) -> bool:
    """Whether the visit starts before the horizon and can stay where it was published."""
    return board.is_soon(visit) and not _broken_as_promised(board, visit)


def in_trouble(board: Board) -> dict[int, tuple[str, ...]]:
    """The visits that start before the horizon and cannot stay: the rules that they break there."""
    soon = [i for i in range(len(board.visits)) if board.is_soon(i) and not is_frozen(board, i)]
    return {i: _broken_as_promised(board, i) for i in soon}


def _broken_as_promised(board: Board, visit: int) -> tuple[str, ...]:
    promise = board.visits[visit].promise
    if promise is None:
        return ()
    crew_day = board.crew_day_number.get((promise.crew, promise.day))
    return ("day_off",) if crew_day is None else _broken_alone(board, visit, crew_day)


def _broken_alone(board: Board, visit: int, crew_day: int) -> tuple[str, ...]:
    who, at = board.visits[visit], board.crew_days[crew_day]
    codes = [code for code, breaks in RULES.items() if breaks(who, at)]
    if not board.windows(visit, crew_day):
        return (*codes, "before_horizon" if arrival_windows(who, at) else "no_window")
    return (*codes, *_broken_hours(board, visit, crew_day))


def _broken_hours(board: Board, visit: int, crew_day: int) -> tuple[str, ...]:
    depot, site = board.depot[crew_day], board.site[visit]
    start = first_start(
        board.windows(visit, crew_day),
        board.arrives(crew_day, board.shift_start[crew_day], board.drive[depot][site]),
    )
    if start is None:
        return ("too_late_there",)
    end = start + board.visits[visit].duration_min
    home = board.arrives(crew_day, end, board.drive[site][depot])
    return ("too_long_for_shift",) if home > board.latest_end[crew_day] else ()


def first_start(windows: Iterable[Span], arrival: int) -> int | None:
    """The first allowed start for a crew that is there at `arrival`."""
    return min((max(arrival, first) for first, last in windows if arrival <= last), default=None)


def day_span(board: Board, days: Mapping[int, int], visit: int) -> Span:
    """The first and last day that the order of visits leaves, given the days of the placed ones."""
    first, last = 0, FOREVER
    if visit in board.predecessor:
        before, lead = board.predecessor[visit]
        if before not in days:
            return NEVER
        first = days[before] + lead
    for later, lead in board.successors.get(visit, ()):
        if later in days:
            last = min(last, days[later] - lead)
    return first, last


def late_cost(board: Board, visit: int, crew_day: int) -> int:
    """What the days after the due date cost."""
    who = board.visits[visit]
    if who.due_on is None:
        return 0
    days = max(0, board.day[crew_day] - who.due_on.toordinal())
    return board.costs.late_day * who.priority * days


def away_cost(board: Board, visit: int, crew_day: int) -> int:
    """What it costs that a published visit is on another day or with another crew."""
    promise, at, costs = board.visits[visit].promise, board.crew_days[crew_day], board.costs
    if promise is None:
        return 0
    cost = costs.moved_crew if promise.crew != at.crew else 0
    cost += costs.moved_day if promise.day != at.day else 0
    return cost * board.promise_factor[visit]


def outside_cost(board: Board, visit: int, crew_day: int) -> int:
    """What it costs that a visit lies outside of the crew's territory."""
    areas = board.crew_days[crew_day].areas
    is_outside = bool(areas) and areas.isdisjoint(board.visits[visit].areas)
    return board.costs.outside if is_outside else 0


def fixed_cost(board: Board, visit: int, crew_day: int) -> int:
    """What a visit costs on a crew-day at whatever hour: days late, promises moved, territory."""
    cost = late_cost(board, visit, crew_day) + away_cost(board, visit, crew_day)
    return cost + outside_cost(board, visit, crew_day)


def moved_cost(board: Board, visit: int, crew_day: int, start: int) -> int:
    """What it costs that a published visit starts here and not where it was published."""
    promise, at, costs = board.visits[visit].promise, board.crew_days[crew_day], board.costs
    away = away_cost(board, visit, crew_day)
    if promise is None or promise.start_min is None or promise.day != at.day:
        return away
    is_off = abs(clock(at, start) - promise.start_min) > costs.start_tolerance_min
    return away + (board.start_price(visit, crew_day) if is_off else 0)


def loads(board: Board, crew_day: int, visits: Iterable[int]) -> bool:
    """Whether the truck takes the stone of all these visits at once."""
    at, who = board.crew_days[crew_day], [board.visits[i] for i in visits]
    return (
        sum(visit.mass_kg for visit in who) <= at.payload_kg + EPSILON
        and sum(visit.load_thickness_mm for visit in who) <= at.frame_thickness_mm + EPSILON
    )


@dataclass(frozen=True, slots=True, order=True)
class _Timing:
    """One way to time the first visits of a crew-day: cost of moves, minutes off promises, now."""

    moved: int
    off: int
    now: int
    starts: tuple[int, ...]


def route(
    board: Board, crew_day: int, order: Sequence[int], floors: Mapping[int, int] = NO_FLOORS
) -> Route | None:
    """The crew-day with these visits in this order at its least cost; None if a rule is broken.

    `floors` are minutes of the clock before which a visit may not start, because others are not
    there yet.
    """
    if not all(fits(board, visit, crew_day) for visit in order):
        return None
    if not loads(board, crew_day, order):
        return None
    timings = [_Timing(0, 0, board.shift_start[crew_day], ())]
    here, drive = board.depot[crew_day], 0
    for visit in order:
        leg = board.drive[here][board.site[visit]]
        timings = _undominated(
            later
            for timing in timings
            for later in _next(board, crew_day, visit, timing, (leg, floors.get(visit, 0)))
        )
        here, drive = board.site[visit], drive + leg
    back = board.drive[here][board.depot[crew_day]]
    routes = [
        _ended(board, crew_day, order, timing, (drive + back, end))
        for timing in timings
        if (end := board.arrives(crew_day, timing.now, back)) <= board.latest_end[crew_day]
    ]
    return min(routes, key=lambda found: found.cost, default=None)


def _ended(
    board: Board, crew_day: int, order: Sequence[int], timing: _Timing, way: tuple[int, int]
) -> Route:
    """The crew-day timed so, with all its driving and the minute at which the crew is home."""
    costs, (drive, end) = board.costs, way
    late = sum(late_cost(board, visit, crew_day) for visit in order)
    outside = sum(outside_cost(board, visit, crew_day) for visit in order)
    overtime = max(0, end - board.shift_end[crew_day])
    cost = costs.crew_day + costs.drive * drive + costs.overtime * overtime
    return Route(
        starts=timing.starts,
        drive=drive,
        overtime=overtime,
        late_cost=late,
        outside_cost=outside,
        moved_cost=timing.moved,
        cost=cost + late + outside + timing.moved,
    )


def _next(
    board: Board, crew_day: int, visit: int, timing: _Timing, way: tuple[int, int]
) -> list[_Timing]:
    """The visit as early as it can be and, if published for that day, at what is worth a wait."""
    leg, floor = way
    arrival = board.arrives(crew_day, timing.now, leg)
    not_before = worked(board.crew_days[crew_day], floor)
    start = first_start(board.windows(visit, crew_day), max(arrival, not_before))
    if start is None:
        return []
    later = (wait for wait in worth_a_wait(board, visit, crew_day) if wait > start)
    return [_after(board, crew_day, visit, timing, begin) for begin in (start, *later)]


def worth_a_wait(board: Board, visit: int, crew_day: int) -> tuple[int, ...]:
    """Starts that a published visit may wait for: the first that is as told, and the told one.

    With the first one, a crew that is earlier never does worse than one that is later.
    """
    promise, told = board.visits[visit].promise, board.promised_start(visit, crew_day)
    if promise is None or promise.start_min is None or told is None:
        return ()
    at, windows = board.crew_days[crew_day], board.windows(visit, crew_day)
    tolerance_min = board.costs.start_tolerance_min
    first = first_start(windows, worked(at, promise.start_min - tolerance_min))
    is_as_told = first is not None and abs(clock(at, first) - promise.start_min) <= tolerance_min
    found = [first] if first is not None and is_as_told else []
    if first_start(windows, told) == told:
        found.append(told)
    return tuple(dict.fromkeys(found))


def _after(board: Board, crew_day: int, visit: int, timing: _Timing, start: int) -> _Timing:
    promised = board.promised_start(visit, crew_day)
    return _Timing(
        timing.moved + moved_cost(board, visit, crew_day, start),
        timing.off + (0 if promised is None else abs(start - promised)),
        start + board.visits[visit].duration_min,
        (*timing.starts, start),
    )


def _undominated(timings: Iterable[_Timing]) -> list[_Timing]:
    kept: list[_Timing] = []
    for timing in sorted(timings):
        if all(timing.now < other.now for other in kept):
            kept.append(timing)
    return kept


def fits(board: Board, visit: int, crew_day: int) -> bool:
    """Whether the visit could have the crew-day for itself."""
    key = visit, crew_day
    if key not in board.fit:
        who, at = board.visits[visit], board.crew_days[crew_day]
        is_ruled_out = any(breaks(who, at) for breaks in RULES.values())
        board.fit[key] = not is_ruled_out and not broken_rules(board, visit, crew_day)
    return board.fit[key]


def route_cost(board: Board, crew_day: int, order: Sequence[int]) -> int | None:
    """What the crew-day costs, nothing if nobody is sent; None if a rule is broken."""
    if not order:
        return 0
    found = route(board, crew_day, order)
    return None if found is None else found.cost


def days_of(board: Board, draft: Draft) -> dict[int, int]:
    """The day of each placed visit."""
    return {visit: board.day[k] for k, order in draft.items() for visit in order}


def left_out(board: Board, draft: Draft) -> list[int]:
    """The visits without a place."""
    placed = {visit for order in draft.values() for visit in order}
    return [visit for visit in range(len(board.visits)) if visit not in placed]


def breakdown(board: Board, draft: Draft) -> CostBreakdown:
    """What a draft costs, by cause.

    Raises
    ------
    ValueError
        If it breaks a rule.
    """
    routes = sure_routes(board, draft).values()
    return CostBreakdown(
        drive=board.costs.drive * sum(found.drive for found in routes),
        overtime=board.costs.overtime * sum(found.overtime for found in routes),
        crew_days=board.costs.crew_day * len(routes),
        late=sum(found.late_cost for found in routes),
        moved=sum(found.moved_cost for found in routes),
        outside=sum(found.outside_cost for found in routes),
        uneven=fairness.cost(board, fairness.work_min(board, draft)),
        unplaced=sum(board.price[visit] for visit in left_out(board, draft)),
    )


def placements(board: Board, draft: Draft) -> tuple[Placed, ...]:
    """The stops of a draft on the clock, by day, crew and start.

    Raises
    ------
    ValueError
        If it breaks a rule.
    """
    routes = sure_routes(board, draft)
    stops = [stop for k in draft for stop in _stops(board, k, draft[k], routes[k].starts)]
    return tuple(sorted(stops, key=lambda stop: (stop.day, stop.crew, stop.start_min)))


def _stops(
    board: Board, crew_day: int, order: Sequence[int], starts: Sequence[int]
) -> Iterable[Placed]:
    at, here, since = board.crew_days[crew_day], board.depot[crew_day], board.shift_start[crew_day]
    for visit, start in zip(order, starts, strict=True):
        who, on_clock = board.visits[visit], clock(at, start)
        leg = board.drive[here][board.site[visit]]
        yield Placed(
            visit=who.id,
            crew=at.crew,
            day=at.day,
            start_min=on_clock,
            end_min=max(on_clock, clock(at, start + who.duration_min, ends=True)),
            drive_min=board.arrives(crew_day, since, leg) - since,
        )
        here, since = board.site[visit], start + who.duration_min


def sure_routes(board: Board, draft: Draft) -> dict[int, Route]:
    """Every crew-day of a draft with its times.

    Raises
    ------
    ValueError
        If it breaks a rule.
    """
    if apart := links.torn(board, draft):
        raise ValueError(f"visit {board.visits[min(apart)].id} is not with those it goes with")
    found = timed(board, draft)
    if found is None:
        k = next((k for k in draft if route(board, k, draft[k]) is None), min(draft))
        at = board.crew_days[k]
        raise ValueError(f"crew {at.crew} cannot do these visits on {at.day}")
    return found


def timed(board: Board, draft: Draft) -> dict[int, Route] | None:
    """Crew-days with their times, whoever lends a hand being there too; None if a rule is broken.

    Of two crews that begin together the earlier one waits, until no wait moves another.
    """
    floors: dict[int, int] = {}
    found: dict[int, Route] = {}
    stale = set(draft)
    while stale:
        for k in stale:
            route_then = route(board, k, draft[k], floors)
            if route_then is None:
                return None
            found[k] = route_then
        stale = _made_to_wait(board, draft, found, floors)
    return found


def _made_to_wait(
    board: Board, draft: Draft, found: Mapping[int, Route], floors: dict[int, int]
) -> set[int]:
    """The crew-days on which a visit has to wait for another crew; its floor is raised."""
    pairs = links.placed_pairs(board, draft)
    on = {visit: k for k, order in draft.items() for visit in order} if pairs else {}
    waiting = set()
    for pair in pairs:
        starts = [_on_clock(board, draft, found, on[visit], visit) for visit in pair]
        for visit, start in zip(pair, starts, strict=True):
            if start < max(starts):
                floors[visit] = max(starts)
                waiting.add(on[visit])
    return waiting


def _on_clock(
    board: Board, draft: Draft, found: Mapping[int, Route], crew_day: int, visit: int
) -> int:
    start = found[crew_day].starts[draft[crew_day].index(visit)]
    return clock(board.crew_days[crew_day], start)


def joint_cost(board: Board, draft: Draft, crew_days: Iterable[int]) -> int | None:
    """What some crew-days of a draft cost together; None if a rule is broken among them."""
    routes = timed(board, {k: draft[k] for k in crew_days if draft.get(k)})
    return None if routes is None else sum(found.cost for found in routes.values())
