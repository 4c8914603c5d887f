"""Why a visit is not where one would like it, and what moves between two plans.

It gives each reason a code, its numbers and a sentence; whether a rule is broken it asks of
``evaluate``. What would have to change is told by ``remedies``, who would have to give way by
``room``.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from math import ceil, floor

from crewjobs.domain.scheduling import build, cells, evaluate, links
from crewjobs.domain.scheduling.board import Board, Draft, clock
from crewjobs.domain.scheduling.problem import (
    CrewDay,
    Move,
    Problem,
    Reason,
    Schedule,
    Unplaced,
    Visit,
)


def compare(before: Schedule, after: Schedule) -> tuple[Move, ...]:
    """The visits whose crew, day or start differ between two plans, by name."""
    old = {stop.visit: stop for stop in before.placed}
    new = {stop.visit: stop for stop in after.placed}
    moves = [
        Move(visit=visit, before=old.get(visit), after=new.get(visit))
        for visit in sorted(old.keys() | new.keys())
    ]
    return tuple(move for move in moves if _slot(move.before) != _slot(move.after))


def _slot(stop: object) -> tuple[object, ...]:
    return tuple(getattr(stop, name, None) for name in ("crew", "day", "start_min"))


def why_not(
    problem: Problem, schedule: Schedule, *, visit: str, crew: str, day: date
) -> tuple[Reason, ...]:
    """Everything that speaks against adding a visit to a crew's day; nothing if it would go.

    What the visit would do elsewhere is left aside: it counts as taken out of its place.

    Raises
    ------
    KeyError
        If the problem has no such visit.
    """
    board = Board(problem)
    i = board.visit_number[visit]
    k = board.crew_day_number.get((crew, day))
    if k is None:
        message = f"crew {crew} does not work on {day}"
        return (Reason(code="day_off", message=message, crew=crew, day=day),)
    return against(board, without(build.draft_of(board, schedule), i), i, k)


def why_unplaced(problem: Problem, schedule: Schedule, *, visit: str) -> tuple[Reason, ...]:
    """What keeps a visit out of a plan: first what no empty day could help, else what is nearest.

    Raises
    ------
    KeyError
        If the problem has no such visit.
    """
    board = Board(problem)
    i = board.visit_number[visit]
    return reasons(board, without(build.draft_of(board, schedule), i), i)


def unplaced(board: Board, draft: Draft) -> tuple[Unplaced, ...]:
    """The visits that a draft leaves out, with their reasons."""
    return tuple(
        Unplaced(visit=board.visits[i].id, reasons=reasons(board, draft, i))
        for i in evaluate.left_out(board, draft)
    )


def reasons(board: Board, draft: Draft, visit: int) -> tuple[Reason, ...]:
    """One reason a code, from the crew-days that come nearest to taking the visit."""
    if not board.crew_days:
        return (Reason(code="no_crew_day", message="no crew works on any of these days"),)
    days = evaluate.days_of(board, draft)
    if board.predecessor.get(visit, (visit,))[0] not in {*days, visit}:
        first = board.visits[board.predecessor[visit][0]].id
        message = f"visit {first} comes first and has no place"
        return (Reason(code="waits_for", message=message),)
    broken = cells.broken(board, visit)
    best = cells.cheapest(board, draft, visit)
    if best is not None and links.is_linked(board, visit):
        return (_GOES_WITH_OTHERS,)
    if best is not None:
        return (_too_dear(board, visit, best[0], best[1]),)
    fewest = min(len(codes) for codes in broken)
    nearest = [k for k, codes in enumerate(broken) if len(codes) == fewest]
    found = _one_a_code(
        reason
        for k in _by_detour(board, draft, visit, nearest)
        for reason in against(board, draft, visit, k)
    )
    return tuple(_NO_HOUR if reason.code == "no_window" else reason for reason in found)


LOOKED_INTO = 60
"""Crew-days whose reasons are told apart, the nearest ones: all of them on the board of a shop."""


def _by_detour(board: Board, draft: Draft, visit: int, crew_days: list[int]) -> Sequence[int]:
    """The crew-days; of very many the nearest, by what the detour costs."""
    if len(crew_days) <= LOOKED_INTO:
        return crew_days
    costs = {k: cells.least_extra_cost(board, k, draft.get(k, ()), visit) for k in crew_days}
    return sorted(sorted(crew_days, key=lambda k: (costs[k], k))[:LOOKED_INTO])


_GOES_WITH_OTHERS = Reason(
    code="goes_with_others",
    message="there is no place for it together with the visits that go with it",
)

_NO_HOUR = Reason(
    code="no_window", message="no crew that could come works at an hour at which it may begin"
)
"""Of all days together: that one day lacks a window says nothing of the others."""


def _one_a_code(found: Iterable[Reason]) -> tuple[Reason, ...]:
    """Of each code the reason that lacks least."""
    least: dict[str, Reason] = {}
    for reason in found:
        known = least.get(reason.code)
        if known is None or _lack(reason) < _lack(known):
            least[reason.code] = reason
    return tuple(least.values())


def _lack(reason: Reason) -> int:
    return 0 if reason.needs is None or reason.has is None else abs(reason.needs - reason.has)


def without(draft: Draft, visit: int) -> Draft:
    """The draft with the visit taken out."""
    orders = {k: tuple(i for i in order if i != visit) for k, order in draft.items()}
    return {k: order for k, order in orders.items() if order}


def against(board: Board, draft: Draft, visit: int, crew_day: int) -> tuple[Reason, ...]:
    """Everything that speaks against one more visit on a crew-day: its own rules, then the others'.

    With all of it mended, the visit would go there.
    """
    codes = evaluate.broken_rules(board, visit, crew_day)
    found = [_by_rule(board, code, visit, crew_day) for code in codes]
    first, last = evaluate.day_span(board, evaluate.days_of(board, draft), visit)
    at = board.crew_days[crew_day]
    if not first <= board.day[crew_day] <= last:
        text = f"on {at.day} it would be out of order with the visit before or after it"
        found.append(_here(at, "out_of_order", text))
    return (*found, *_full(board, crew_day, draft.get(crew_day, ()), visit, frozenset(codes)))


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """What one more visit would mean on one crew's day."""

    crew: str
    day: date
    reasons: tuple[Reason, ...] = ()
    """Every rule that it would break; none: it may go there."""
    extra_cost: int | None = None
    """What the cheapest place there adds to the plan's cost."""
    start_min: int | None = None
    """When it would start there, on the clock."""


def cells_of(problem: Problem, schedule: Schedule, *, visit: str) -> tuple[Cell, ...]:
    """All crew-days for one visit, all other visits kept as they are.

    Raises
    ------
    KeyError
        If the problem has no such visit.
    """
    board = Board(problem)
    i = board.visit_number[visit]
    draft = without(build.draft_of(board, schedule), i)
    return tuple(cell(board, draft, i, k) for k in range(len(board.crew_days)))


def cell(board: Board, draft: Draft, visit: int, crew_day: int) -> Cell:
    """One crew-day for one more visit."""
    at = board.crew_days[crew_day]
    if reasons := against(board, draft, visit, crew_day):
        return Cell(crew=at.crew, day=at.day, reasons=reasons)
    best = build.cheapest_order(board, crew_day, draft.get(crew_day, ()), visit)
    route = best and evaluate.route(board, crew_day, best[1])
    if best is None or route is None:
        raise ValueError(f"crew {at.crew} on {at.day}: no place, and no reason why")
    start = route.starts[best[1].index(visit)]
    return Cell(crew=at.crew, day=at.day, extra_cost=best[0], start_min=clock(at, start))


def _here(
    at: CrewDay, code: str, message: str, needs: int | None = None, has: int | None = None
) -> Reason:
    return Reason(code=code, message=message, needs=needs, has=has, crew=at.crew, day=at.day)


def _by_rule(board: Board, code: str, visit: int, crew_day: int) -> Reason:
    """The broken rule of an empty crew-day, in words."""
    who, at = board.visits[visit], board.crew_days[crew_day]
    needs: int | None = None
    has: int | None = None
    if code in ("too_late_there", "too_long_for_shift"):
        needs, has = _hours(board, code, visit, crew_day)
    elif code in _NUMBERS:
        needs, has = _NUMBERS[code](who, at)
    message = _WORDS[code].format(
        crew=at.crew,
        day=at.day,
        needs=needs,
        has=has,
        skills=", ".join(sorted(who.skills - at.skills)),
        ready=who.ready_on,
        latest=who.latest_on,
        needs_clock=_clock(needs),
        has_clock=_clock(has),
    )
    return _here(at, code, message, needs, has)


_WORDS: Mapping[str, str] = {
    "too_few_hands": "the visit needs {needs} hands, crew {crew} has {has} on {day}",
    "skill_missing": "crew {crew} lacks on {day}: {skills}",
    "over_payload": "the stone weighs {needs} kg, the truck of crew {crew} takes {has} kg",
    "piece_too_long": "a piece is {needs} mm long, the A-frame of crew {crew} takes {has} mm",
    "frame_full": "the stone is {needs} mm thick in all, the A-frame of crew {crew} has {has} mm",
    "locked_elsewhere": "the visit is locked, not to crew {crew} on {day}",
    "not_ready": "the stone is ready on {ready}, after {day}",
    "after_last_day": "{day} is too late, the last day is {latest}",
    "before_horizon": "what starts so soon on {day} may not be changed any more",
    "frozen": "the visit starts too soon to be given to crew {crew} on {day}",
    "no_window": "the visit has no window on {day} that can be kept",
    "too_late_there": "crew {crew} is there at {needs_clock} on {day}, the last start {has_clock}",
    "too_long_for_shift": "crew {crew} is back at {needs_clock} on {day}, the latest {has_clock}",
}

_NUMBERS: Mapping[str, Callable[[Visit, CrewDay], tuple[int, int]]] = {
    "too_few_hands": lambda visit, at: (visit.hands, at.hands),
    "over_payload": lambda visit, at: (ceil(visit.mass_kg), floor(at.payload_kg)),
    "piece_too_long": lambda visit, at: (ceil(visit.longest_piece_mm), floor(at.frame_length_mm)),
    "frame_full": lambda visit, at: (ceil(visit.load_thickness_mm), floor(at.frame_thickness_mm)),
}


def _clock(minute: int | None) -> str:
    return "" if minute is None else f"{minute // 60}:{minute % 60:02}"


def _hours(board: Board, code: str, visit: int, crew_day: int) -> tuple[int, int]:
    """The minute of the clock that the visit comes to, and the one that it would have to keep."""
    at, windows = board.crew_days[crew_day], board.windows(visit, crew_day)
    depot, site = board.depot[crew_day], board.site[visit]
    arrival = board.shift_start[crew_day] + board.drive[depot][site]
    if code == "too_late_there":
        return clock(at, arrival), clock(at, max(last for _, last in windows))
    start = evaluate.first_start(windows, arrival) or arrival
    home = start + board.visits[visit].duration_min + board.drive[site][depot]
    return clock(at, home, ends=True), clock(at, board.latest_end[crew_day], ends=True)


def _full(
    board: Board, crew_day: int, order: tuple[int, ...], visit: int, own: frozenset[str]
) -> Iterable[Reason]:
    """What the visits already there leave too little of, beyond what it breaks on its own."""
    if not order or (not own and build.cheapest_order(board, crew_day, order, visit)):
        return
    at, who = board.crew_days[crew_day], [board.visits[i] for i in (*order, visit)]
    mass_kg, stack_mm = sum(v.mass_kg for v in who), sum(v.load_thickness_mm for v in who)
    if mass_kg > at.payload_kg + evaluate.EPSILON and "over_payload" not in own:
        needs, has = ceil(mass_kg), floor(at.payload_kg)
        text = f"the truck of crew {at.crew} would carry {needs} kg on {at.day}, it takes {has} kg"
        yield _here(at, "payload_full", text, needs, has)
    if stack_mm > at.frame_thickness_mm + evaluate.EPSILON and "frame_full" not in own:
        needs, has = ceil(stack_mm), floor(at.frame_thickness_mm)
        text = f"the A-frame of crew {at.crew} would hold {needs} mm on {at.day}, it has {has} mm"
        yield _here(at, "frame_day_full", text, needs, has)
    if not own & {"no_window", "too_late_there", "too_long_for_shift"}:
        yield from _no_hours(board, crew_day, order, visit)


def _no_hours(board: Board, crew_day: int, order: tuple[int, ...], visit: int) -> Iterable[Reason]:
    """Whether the hours of the day are too few, or the windows too narrow, whatever the load."""
    at = board.crew_days[crew_day]
    needs = _least_minutes(board, crew_day, order, visit)
    has = board.latest_end[crew_day] - board.shift_start[crew_day]
    if needs > has:
        text = f"crew {at.crew} would need {needs} minutes on {at.day} and has {has} with overtime"
        yield _here(at, "no_time", text, needs, has)
        at = replace(at, max_overtime_min=at.max_overtime_min + needs - has)
    if not _has_order(board, at, order, visit):
        text = f"no place among the visits of crew {at.crew} on {at.day} keeps all their windows"
        yield _here(at, "no_order", text)


def _has_order(board: Board, at: CrewDay, order: tuple[int, ...], visit: int) -> bool:
    """Whether the hours alone leave a place: every other rule counts as kept."""
    others = tuple(_weightless(board.visits[i]) for i in order)
    alone = cells.small_board(board, (at,), (*others, _undemanding(board.visits[visit], at)))
    return build.cheapest_order(alone, 0, tuple(range(len(order))), len(order)) is not None


def _weightless(visit: Visit) -> Visit:
    return replace(cells.unlinked(visit), mass_kg=0.0, load_thickness_mm=0.0)


def _undemanding(visit: Visit, at: CrewDay) -> Visit:
    """The visit asking nothing of this crew-day but time."""
    lock = visit.lock
    if lock is not None and (lock.crew, lock.day) != (at.crew, at.day):
        lock = None
    return replace(
        _weightless(visit), hands=1, skills=frozenset(), longest_piece_mm=0.0,
        ready_on=None, latest_on=None, lock=lock,
    )  # fmt: skip


def _least_minutes(board: Board, crew_day: int, order: tuple[int, ...], visit: int) -> int:
    """The work and the driving of a crew-day with one more visit, waiting not counted."""
    depot = board.depot[crew_day]
    trials = ((*order[:at], visit, *order[at:]) for at in range(len(order) + 1))
    stops = ([depot, *(board.site[i] for i in trial), depot] for trial in trials)
    drive = min(sum(board.drive[a][b] for a, b in pairwise(legs)) for legs in stops)
    return drive + sum(board.visits[i].duration_min for i in (*order, visit))


def _too_dear(board: Board, visit: int, extra: int, crew_day: int) -> Reason:
    at, price = board.crew_days[crew_day], board.price[visit]
    text = (
        f"it would go with crew {at.crew} on {at.day}, but adds a cost of {extra} there; "
        f"leaving it out costs {price}"
    )
    return _here(at, "too_dear", text, extra, price)
