"""A plan for the rest of the day: what is in trouble finds a place, the others stay where they are.

In trouble is what was promised and no longer holds, and what is wanted newly. Where nothing is,
nothing moves. Around each the nearest crew-days are planned anew, what people know priced high.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass

from crewjobs.domain.scheduling import build, cells, evaluate, explain, search
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Move, Placed, Problem, Schedule
from crewjobs.domain.scheduling.room import planned_anew, room_on
from crewjobs.domain.scheduling.running import Running, from_now, held_in

USUAL_ROUNDS = 2
"""How often the crew-days around what is in trouble are planned anew."""

TOGETHER = 4
"""Crew-days planned anew at once."""

ROOM_SOUGHT = 24
"""Crew-days in which room is sought for a promised visit that would fall out."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Replanned:
    """The rest of the day, planned again."""

    problem: Problem
    """What was left to plan."""
    schedule: Schedule
    moves: tuple[Move, ...]
    """The visits that are elsewhere or at another time than the running plan says."""
    in_trouble: tuple[str, ...]


def replan(
    problem: Problem,
    plan: Schedule,
    running: Running,
    *,
    wanted: Iterable[str] = (),
    seed: int = 1,
    rounds: int = USUAL_ROUNDS,
) -> Replanned:
    """The plan from now on, with as few moves as its costs ask for.

    The same inputs, seed and rounds give the same plan.
    """
    left, now = from_now(problem, plan, running)
    board = _board(left)
    draft = build.draft_of(board, now)
    names = {board.visit_number[name] for name in wanted if name in board.visit_number}
    trouble = _in_trouble(board, draft, now, names)
    if trouble:
        draft = _Repair(board, draft, trouble, seed).run(rounds)
    schedule = Schedule(
        placed=evaluate.placements(board, draft),
        unplaced=explain.unplaced(board, draft),
        cost=evaluate.breakdown(board, draft),
    )
    return Replanned(
        problem=left,
        schedule=schedule,
        moves=_moves(now, schedule, {each.visit for each in running.started}),
        in_trouble=tuple(board.visits[i].id for i in trouble),
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
        for i in self._left():
            if self.board.visits[i].promise is not None:
                self._make_room(i)
        return self.draft

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
