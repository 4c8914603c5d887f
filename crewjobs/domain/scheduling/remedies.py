"""The smallest sets of changes that would give a visit a place: each can be done, and is enough.

A change names the rule that it mends and to what: another window, minutes of overtime, a skill,
a bigger truck, or one visit elsewhere that nobody has been told of. Who else could give way is
told by ``room``.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import ceil
from typing import NamedTuple

from crewjobs.domain.scheduling import build, cells, evaluate
from crewjobs.domain.scheduling.board import Board, Draft, clock
from crewjobs.domain.scheduling.problem import (
    CrewDay,
    Problem,
    Schedule,
    Slot,
    Unplaced,
    Visit,
    Window,
)

LOOKED_INTO = 24
"""Crew-days that are looked into, those with the fewest broken rules and the least detour first."""

ANY_OVERTIME_MIN = 12 * 60
"""More than any crew works; what is asked for is what is needed."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One thing done otherwise: fields of a crew's day, or of the visit, or one visit elsewhere."""

    code: str
    """The reason that it takes away."""
    message: str
    crew: str = ""
    day: date | None = None
    visit: str = ""
    fields: Mapping[str, object] = field(default_factory=dict)
    """What the crew-day, or else the visit, would have to be."""
    to: Slot | None = None
    """Where the other visit would go."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Remedy:
    """Changes which together let a visit go to a crew's day, and what that adds to the cost."""

    visit: str
    to: Slot
    changes: tuple[Change, ...]
    extra_cost: int


def remedies(
    problem: Problem, schedule: Schedule, *, visit: str, most: int = 5
) -> tuple[Remedy, ...]:
    """The smallest sets of changes that would place a visit, then the cheapest, no two alike.

    Raises
    ------
    KeyError
        If the problem has no such visit.
    """
    board = Board(problem)
    i = board.visit_number[visit]
    draft = build.draft_of(board, schedule)
    return found(board, {k: tuple(v for v in o if v != i) for k, o in draft.items()}, i, most=most)


def found(board: Board, draft: Draft, visit: int, *, most: int = 5) -> tuple[Remedy, ...]:
    """The remedies for a visit that a draft leaves out."""
    draft = {k: order for k, order in draft.items() if order}
    trials = (mended(board, draft, visit, k) for k in _nearest(board, draft, visit))
    best = sorted(
        (trial for trial in trials if trial is not None),
        key=lambda each: (len(each.changes), each.extra_cost, each.to.crew, each.to.day),
    )
    first: dict[tuple[str, ...], Remedy] = {}
    for each in best:
        first.setdefault(tuple(sorted(change.code for change in each.changes)), each)
    return tuple(first.values())[:most]


def _nearest(board: Board, draft: Draft, visit: int) -> list[int]:
    broken = cells.broken(board, visit)
    nearness = {
        k: (len(broken[k]), cells.least_extra_cost(board, k, draft.get(k, ()), visit), k)
        for k in cells.open_days(board, draft, visit)
    }
    return sorted(nearness, key=nearness.__getitem__)[:LOOKED_INTO]


class _Way(NamedTuple):
    """One place of the visit among the others: what the day then costs, its overtime, the start."""

    cost: int
    overtime_min: int
    start_min: int


@dataclass(frozen=True, slots=True)
class _Trial:
    """A visit and those that would stay, on a crew's day, with some changes made."""

    board: Board
    at: CrewDay
    who: Visit
    others: tuple[Visit, ...]
    changes: tuple[Change, ...] = ()

    def with_change(self, change: Change) -> "_Trial":
        """One more change made."""
        at, who, others = self.at, self.who, self.others
        if change.to is not None:
            others = tuple(each for each in others if each.id != change.visit)
        elif change.visit:
            who = replace(who, **change.fields)  # type: ignore[arg-type]  # its own fields
        else:
            at = replace(at, **change.fields)  # type: ignore[arg-type]  # its own fields
        return _Trial(self.board, at, who, others, (*self.changes, change))

    def ways(self) -> list[_Way]:
        """The visit at each place among the others that breaks no rule, the cheapest first.

        Of two that cost the same the one comes first that ``build.cheapest_order`` takes.
        """
        small = cells.small_board(self.board, (self.at,), (*self.others, self.who))
        last, found = len(self.others), []
        names = [self.board.visit_number[each.id] for each in (*self.others, self.who)]
        for n in range(last + 1):
            order = (*range(n), last, *range(n, last))
            route = evaluate.route(small, 0, order)
            if route is not None:
                start = clock(self.at, route.starts[n])
                key = route.cost, tuple(names[i] for i in order)
                found.append((key, _Way(route.cost, route.overtime, start)))
        return [way for _, way in sorted(found, key=lambda each: each[0])]


def mended(board: Board, draft: Draft, visit: int, crew_day: int) -> Remedy | None:
    """The fewest changes, and of those the cheapest, that let a visit go to a crew-day."""
    order = draft.get(crew_day, ())
    others = tuple(cells.unlinked(board.visits[i]) for i in order)
    trial = _Trial(board, board.crew_days[crew_day], cells.unlinked(board.visits[visit]), others)
    for code in evaluate.broken_rules(board, visit, crew_day):
        if code in _MENDS:
            trial = trial.with_change(_MENDS[code](trial.who, trial.at))
        elif code not in _HOURS:
            return None
    before = evaluate.route_cost(board, crew_day, order) or 0
    options = [_priced(each, before) for each in _in_hours(_loaded(trial))]
    options += list(_one_elsewhere(board, draft, crew_day, trial))
    if not options and trial.who.lock is not None:
        freed = trial.with_change(_unlocked(trial.who, trial.at))
        options = [_priced(each, before) for each in _in_hours(_loaded(freed))]
    return min(options, key=lambda each: (len(each.changes), each.extra_cost), default=None)


def _priced(trial: _Trial, before: int) -> Remedy:
    """The remedy that a trial which succeeds comes to."""
    way = trial.ways()[0]
    slot = Slot(crew=trial.at.crew, day=trial.at.day, start_min=way.start_min)
    extra_cost = way.cost - before
    return Remedy(visit=trial.who.id, to=slot, changes=trial.changes, extra_cost=extra_cost)


def _loaded(trial: _Trial) -> _Trial:
    """The trial with a truck that takes the stone of all of them."""
    who, at = (*trial.others, trial.who), trial.at
    mass_kg = sum(each.mass_kg for each in who)
    if mass_kg > at.payload_kg + evaluate.EPSILON:
        text = f"crew {at.crew} has a truck for {ceil(mass_kg)} kg on {at.day}"
        trial = trial.with_change(_of_crew(at, "payload_full", text, payload_kg=mass_kg))
    stack_mm = sum(each.load_thickness_mm for each in who)
    if stack_mm > at.frame_thickness_mm + evaluate.EPSILON:
        text = f"crew {at.crew} has an A-frame for {ceil(stack_mm)} mm of stone on {at.day}"
        more = _of_crew(at, "frame_day_full", text, frame_thickness_mm=stack_mm)
        trial = trial.with_change(more)
    return trial


def _in_hours(trial: _Trial) -> list[_Trial]:
    """The trial as it is, if it goes; else with overtime or with a window; else with both."""
    if trial.ways():
        return [trial]
    singles = [each for each in (_with_overtime(trial), _with_window(trial)) if each]
    if singles:
        return singles
    long_day = trial.with_change(_of_crew(trial.at, "", "", max_overtime_min=ANY_OVERTIME_MIN))
    window = _with_window(long_day)
    if window is None:
        return []
    both = _with_overtime(trial.with_change(window.changes[-1]))
    return [both] if both else []


def _with_overtime(trial: _Trial) -> _Trial | None:
    """The trial with just the overtime that it needs."""
    at = trial.at
    longest = trial.with_change(_of_crew(at, "", "", max_overtime_min=ANY_OVERTIME_MIN))
    needs_min = min((way.overtime_min for way in longest.ways()), default=None)
    if needs_min is None:
        return None
    text = f"crew {at.crew} works {needs_min} minutes over on {at.day}, not {at.max_overtime_min}"
    return trial.with_change(_of_crew(at, "no_time", text, max_overtime_min=needs_min))


def _with_window(trial: _Trial) -> _Trial | None:
    """The trial with a window at the start that would be cheapest."""
    if trial.who.windows is None:
        return None
    at = trial.at
    anytime = trial.with_change(_of_visit(trial.who, "", "", windows=None))
    ways = anytime.ways()
    if not ways:
        return None
    start = ways[0].start_min
    windows = (*trial.who.windows, Window(day=at.day, earliest_min=start, latest_min=start))
    text = f"the visit may begin at {start // 60}:{start % 60:02} on {at.day}"
    return trial.with_change(_of_visit(trial.who, "no_window", text, windows=windows))


def _one_elsewhere(board: Board, draft: Draft, crew_day: int, trial: _Trial) -> Iterator[Remedy]:
    """The remedies in which one visit that nobody was told of leaves the crew-day."""
    order = draft.get(crew_day, ())
    for i in order:
        who = board.visits[i]
        if who.promise or who.lock or who.after or i in board.successors:
            continue
        without = trial.with_change(_moved(who, Slot(crew="", day=trial.at.day)))
        if not without.ways():
            continue
        rest = {**draft, crew_day: tuple(other for other in order if other != i)}
        place = cells.cheapest(board, rest, i, but=(crew_day,))
        if place is None:
            continue
        there = board.crew_days[place[1]]
        route = evaluate.route(board, place[1], place[2])
        start = route.starts[place[2].index(i)] if route else 0
        slot = Slot(crew=there.crew, day=there.day, start_min=clock(there, start))
        before = evaluate.route_cost(board, crew_day, order) or 0
        yield _priced(trial.with_change(_moved(who, slot)), before - place[0])


def _moved(who: Visit, to: Slot) -> Change:
    text = f"visit {who.id}, of which nobody was told, goes with crew {to.crew} on {to.day}"
    return Change(code="move", message=text, visit=who.id, to=to)


def _of_crew(at: CrewDay, code: str, message: str, **fields: object) -> Change:
    return Change(code=code, message=message, crew=at.crew, day=at.day, fields=fields)


def _of_visit(who: Visit, code: str, message: str, **fields: object) -> Change:
    return Change(code=code, message=message, visit=who.id, fields=fields)


def _unlocked(who: Visit, at: CrewDay) -> Change:
    text = f"the visit is not locked, so that it may go with crew {at.crew} on {at.day}"
    return _of_visit(who, "locked_elsewhere", text, lock=None)


def _with_hands(who: Visit, at: CrewDay) -> Change:
    text = f"crew {at.crew} has {who.hands} hands on {at.day}, not {at.hands}"
    return _of_crew(at, "too_few_hands", text, hands=who.hands)


def _with_skills(who: Visit, at: CrewDay) -> Change:
    text = f"crew {at.crew} has on {at.day} also: {', '.join(sorted(who.skills - at.skills))}"
    return _of_crew(at, "skill_missing", text, skills=at.skills | who.skills)


def _with_payload(who: Visit, at: CrewDay) -> Change:
    text = f"crew {at.crew} has a truck for {ceil(who.mass_kg)} kg on {at.day}"
    return _of_crew(at, "over_payload", text, payload_kg=who.mass_kg)


def _with_length(who: Visit, at: CrewDay) -> Change:
    text = f"crew {at.crew} has an A-frame for {ceil(who.longest_piece_mm)} mm on {at.day}"
    return _of_crew(at, "piece_too_long", text, frame_length_mm=who.longest_piece_mm)


def _with_thickness(who: Visit, at: CrewDay) -> Change:
    text = f"crew {at.crew} has an A-frame for {ceil(who.load_thickness_mm)} mm of stone"
    return _of_crew(at, "frame_full", text, frame_thickness_mm=who.load_thickness_mm)


def _ready(who: Visit, at: CrewDay) -> Change:
    return _of_visit(who, "not_ready", f"the stone is ready on {at.day}", ready_on=at.day)


_MENDS: Mapping[str, Callable[[Visit, CrewDay], Change]] = {
    "too_few_hands": _with_hands,
    "skill_missing": _with_skills,
    "over_payload": _with_payload,
    "piece_too_long": _with_length,
    "frame_full": _with_thickness,
    "locked_elsewhere": _unlocked,
    "not_ready": _ready,
}
"""What mends a rule of the empty day."""

_HOURS = frozenset({"no_window", "too_late_there", "too_long_for_shift"})
"""What is mended together with the other visits of the day."""


def applied(problem: Problem, schedule: Schedule, remedy: Remedy) -> tuple[Problem, Schedule]:
    """The problem and the plan with a remedy done: the visit has its place in it."""
    changed = _changed(problem, remedy.changes)
    board = Board(changed)
    draft = build.draft_of(board, schedule)
    visit = board.visit_number[remedy.visit]
    moves = [(board.visit_number[c.visit], c.to) for c in remedy.changes if c.to is not None]
    gone = {visit, *(i for i, _ in moves)}
    draft = {k: tuple(i for i in order if i not in gone) for k, order in draft.items()}
    for i, to in [*moves, (visit, remedy.to)]:
        k = board.crew_day_number[to.crew, to.day]
        best = build.cheapest_order(board, k, draft.get(k, ()), i)
        if best is not None:
            draft[k] = best[1]
    draft = {k: order for k, order in draft.items() if order}
    plan = Schedule(
        placed=evaluate.placements(board, draft),
        unplaced=tuple(Unplaced(visit=board.visits[i].id) for i in evaluate.left_out(board, draft)),
        cost=evaluate.breakdown(board, draft),
    )
    return changed, plan


def _changed(problem: Problem, changes: Iterable[Change]) -> Problem:
    """The problem with the changes made, apart from visits that go elsewhere."""
    crew_days = {(each.crew, each.day): each for each in problem.crew_days}
    visits = {each.id: each for each in problem.visits}
    for change in changes:
        if change.to is not None:
            continue
        if change.visit:
            visits[change.visit] = replace(visits[change.visit], **change.fields)  # type: ignore[arg-type]  # its own fields
        elif change.day is not None:
            at = crew_days[change.crew, change.day]
            crew_days[at.crew, at.day] = replace(at, **change.fields)  # type: ignore[arg-type]  # its own fields
    return replace(problem, crew_days=tuple(crew_days.values()), visits=tuple(visits.values()))
