"""A plan for the rest of the day: what is in trouble finds a place, the others stay where they are.

In trouble is what was promised and no longer holds, and what is wanted newly. Where nothing is,
nothing moves. Around each the nearest crew-days are planned anew, what people know priced high.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, replace

from crewjobs.domain.scheduling import build, cells, evaluate, explain, search
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Move, Placed, Problem, Schedule
from crewjobs.domain.scheduling.room import planned_anew, room_on
from crewjobs.domain.scheduling.running import Running, from_now, held_in

USUAL_ROUNDS = 2
"""How often the crew-days around what is in trouble are planned anew."""

TOGETHER = 4
"""Crew-days planned anew at once."""

ROOM_ROUNDS = 2
"""How often room is sought for what is promised: one that gives way may find it elsewhere."""

ROOM_SOUGHT = 10
"""Crew-days in which room is sought for a promised visit that would fall out."""


CALMER = ((0, 1), (0, 4), (USUAL_ROUNDS, 4))
"""Rounds, and how many times dearer a broken promise is made, until few enough move."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """One of the plans to choose from."""

    moved: int
    """Visits that had a place and have another, or another start."""
    dropped: int
    """Visits that had a place and have none."""
    cost: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Replanned:
    """The rest of the day, planned again."""

    problem: Problem
    """What was left to plan."""
    schedule: Schedule
    moves: tuple[Move, ...]
    """The visits that are elsewhere or at another time than the running plan says."""
    in_trouble: tuple[str, ...]
    choices: tuple[Choice, ...] = ()
    """What was found on the way, the plan that moves as many as its costs ask for first."""


def replan(
    problem: Problem,
    plan: Schedule,
    running: Running,
    *,
    wanted: Iterable[str] = (),
    seed: int = 1,
    most_moved: int | None = None,
) -> Replanned:
    """The plan from now on, with as few moves as its costs ask for.

    Where that moves more than `most_moved` or drops somebody for it, it is planned more calmly too;
    of what moves few enough the one is taken that drops fewest, then the cheapest. Where nothing
    does, the one that moves fewest. The same inputs and seed give the same plan.
    """
    left, now = from_now(problem, plan, running)
    board = _board(left)
    draft = build.draft_of(board, now)
    names = {board.visit_number[name] for name in wanted if name in board.visit_number}
    trouble = _in_trouble(board, draft, now, names)
    started = {each.visit for each in running.started}
    found = []
    for rounds, factor in ((USUAL_ROUNDS, 1), *CALMER):
        dearer = board if factor == 1 else _board(_with_dearer_promises(left, factor))
        after = _Repair(dearer, draft, trouble, seed).run(rounds) if trouble else draft
        found.append(_replanned(board, after, now, started))
        if most_moved is None or _is_calm(found, most_moved):
            break
    best = min(found, key=lambda each: _rank(each.choices[0], most_moved))
    return replace(
        best,
        in_trouble=tuple(board.visits[i].id for i in trouble),
        choices=tuple(each.choices[0] for each in found),
    )


def _is_calm(found: list[Replanned], most_moved: int) -> bool:
    """Whether the last one moves few enough and, if it was made calmer, drops nobody for it."""
    last = found[-1].choices[0]
    return last.moved <= most_moved and (last.dropped == 0 or len(found) == 1)


def _rank(choice: Choice, most_moved: int | None) -> tuple[int, ...]:
    over = 0 if most_moved is None else max(0, choice.moved - most_moved)
    return over, choice.dropped, choice.cost


def _with_dearer_promises(left: Problem, factor: int) -> Problem:
    costs = left.costs
    dearer = replace(
        costs,
        moved_day=costs.moved_day * factor,
        moved_crew=costs.moved_crew * factor,
        moved_start=costs.moved_start * factor,
        dropped=costs.dropped * factor,
    )
    return replace(left, costs=dearer)


def _replanned(board: Board, draft: Draft, now: Schedule, started: set[str]) -> Replanned:
    schedule = Schedule(
        placed=evaluate.placements(board, draft),
        unplaced=explain.unplaced(board, draft),
        cost=evaluate.breakdown(board, draft),
    )
    moves = _moves(now, schedule, started)
    known = {visit.id for visit in board.visits}
    choice = Choice(
        moved=sum(move.before is not None and move.after is not None for move in moves),
        dropped=sum(move.after is None and move.visit in known for move in moves),
        cost=schedule.cost.total,
    )
    return Replanned(
        problem=board.problem, schedule=schedule, moves=moves, in_trouble=(), choices=(choice,)
    )


def _board(left: Problem) -> Board:
    """The tables, with no price at which a visit that has begun would be left out."""
    board = Board(left)
    for name in held_in(left):
        board.price[board.visit_number[name]] = search.INDISPENSABLE
    return board


def slipped(problem: Problem, schedule: Schedule) -> tuple[str, ...]:
    """The visits that a plan of what is left can no longer have where it says."""
    board = _board(problem)
    now = evaluate.placements(board, build.draft_of(board, schedule))
    there = {stop.visit: _slot(stop) for stop in now}
    return tuple(s.visit for s in schedule.placed if there.get(s.visit) != _slot(s))


def _in_trouble(board: Board, draft: Draft, now: Schedule, wanted: set[int]) -> list[int]:
    """What had a place and has none, what starts too far off its promise, and what is wanted."""
    left = set(evaluate.left_out(board, draft))
    had = {board.visit_number[stop.visit] for stop in now.placed}
    promised = {i for i in left if board.visits[i].promise is not None}
    late = {
        i
        for k, order in draft.items()
        for i in order
        if board.visits[i].lock is None and _is_off(board, k, order, i)
    }
    found = (left & (had | wanted)) | promised | late
    return sorted(found, key=lambda i: (-board.price[i], i))


def _is_off(board: Board, crew_day: int, order: tuple[int, ...], visit: int) -> bool:
    route = evaluate.route(board, crew_day, order)
    if route is None:
        return False
    start = route.starts[order.index(visit)]
    away = evaluate.away_cost(board, visit, crew_day)
    return evaluate.moved_cost(board, visit, crew_day, start) > away


class _Repair:
    """A draft in which some visits are in trouble, on its way to one where fewer are."""

    def __init__(self, board: Board, draft: Draft, trouble: list[int], seed: int) -> None:
        self.board, self.draft, self.trouble = board, dict(draft), trouble
        self._rng = random.Random(seed)  # noqa: S311  # chance for a search, no secret

    def run(self, rounds: int) -> Draft:
        """The draft repaired."""
        for i in self.trouble:
            self._insert(i)
        for n in range(rounds):
            before = dict(self.draft)
            for i in self.trouble:
                self._plan_around(i, is_shaken=n > 0)
            if self.draft == before:
                break
        self._make_rooms()
        return self.draft

    def _make_rooms(self) -> None:
        for _ in range(ROOM_ROUNDS):
            before = dict(self.draft)
            for i in evaluate.left_out(self.board, self.draft):
                if self.board.visits[i].promise is not None:
                    self._make_room(i)
            if self.draft == before:
                break

    def _left(self) -> list[int]:
        left = set(evaluate.left_out(self.board, self.draft))
        return [i for i in self.trouble if i in left]

    def _insert(self, visit: int) -> None:
        if visit not in evaluate.left_out(self.board, self.draft):
            return
        place = cells.cheapest(self.board, self.draft, visit)
        if place is not None and place[0] < self.board.price[visit]:
            self.draft[place[1]] = place[2]

    def _plan_around(self, visit: int, *, is_shaken: bool) -> None:
        chosen = self._near(visit, is_shaken=is_shaken)
        if chosen:
            after = planned_anew(self.board, self.draft, chosen, self._left()[:6])
            self.draft = after if after is not None else self.draft

    def _near(self, visit: int, *, is_shaken: bool) -> list[int]:
        """Where the visit is, where it was promised, and where it would cost least."""
        board = self.board
        at = {i: k for k, order in self.draft.items() for i in order}
        promise = board.visits[visit].promise
        own = [at[visit]] if visit in at else []
        if promise is not None:
            promised = board.crew_day_number.get((promise.crew, promise.day))
            own += [] if promised is None else [promised]
        bounds = {
            k: cells.least_extra_cost(board, k, self.draft.get(k, ()), visit)
            * (0.6 + self._rng.random() if is_shaken else 1.0)
            for k in cells.open_days(board, self.draft, visit)
            if evaluate.fits(board, visit, k)
        }
        nearest = sorted(bounds, key=lambda k: (bounds[k], k))
        return sorted(list(dict.fromkeys([*own, *nearest]))[:TOGETHER])

    def _make_room(self, visit: int) -> None:
        """Put a promised visit where the others give way, if that is cheaper than dropping it."""
        board = self.board
        if visit not in evaluate.left_out(board, self.draft):
            return
        bounds = {
            k: cells.least_extra_cost(board, k, self.draft.get(k, ()), visit)
            for k in cells.open_days(board, self.draft, visit)
            if evaluate.fits(board, visit, k)
        }
        tried = [
            (found.extra_cost, k, found.after)
            for k in sorted(bounds, key=lambda k: (bounds[k], k))[:ROOM_SOUGHT]
            if (found := room_on(board, self.draft, visit, k)) is not None
        ]
        best = min(tried, key=lambda each: each[:2], default=None)
        if best is not None and best[0] < board.price[visit]:
            self.draft = best[2]


def _moves(before: Schedule, after: Schedule, started: set[str]) -> tuple[Move, ...]:
    """The visits that are elsewhere or at another time, those that have started aside."""
    old = {stop.visit: stop for stop in before.placed}
    new = {stop.visit: stop for stop in after.placed}
    names = sorted((old.keys() | new.keys()) - started)
    moves = (Move(visit=name, before=old.get(name), after=new.get(name)) for name in names)
    return tuple(move for move in moves if _slot(move.before) != _slot(move.after))


def _slot(stop: Placed | None) -> tuple[object, ...]:
    return () if stop is None else (stop.crew, stop.day, stop.start_min)
