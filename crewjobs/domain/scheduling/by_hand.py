"""One visit of a plan put elsewhere by hand; the others keep crew, day and order.

It searches nothing: what a person decided is done, or the reasons why it cannot be are given.
"""

from dataclasses import dataclass, replace
from datetime import date

from crewjobs.domain.scheduling import build, evaluate, explain
from crewjobs.domain.scheduling.board import Board, Draft, worked
from crewjobs.domain.scheduling.problem import Problem, Reason, Schedule, Slot, Unplaced, Visit


@dataclass(frozen=True, kw_only=True, slots=True)
class Wish:
    """Where somebody wants a visit; None takes it out of the plan."""

    visit: str
    to: Slot | None


def moved(problem: Problem, schedule: Schedule, wish: Wish) -> Schedule:
    """The plan with the wish fulfilled, or with the visit left out and every reason why.

    The others on the new day keep their starts as nearly as they can.

    Raises
    ------
    KeyError
        If the problem has no such visit.
    """
    board = Board(replace(problem, visits=_as_planned(problem, schedule, wish)))
    visit = board.visit_number[wish.visit]
    draft = build.draft_of(board, schedule)
    for each in board.groups.get(visit, (visit,)):
        draft = explain.without(draft, each)
    found: tuple[Reason, ...] = ()
    if wish.to is not None:
        found = _put(board, draft, visit, wish.to)
    left_out = [board.visits[i].id for i in evaluate.left_out(board, draft)]
    real = Board(problem)
    return Schedule(
        placed=evaluate.placements(board, draft),
        unplaced=tuple(
            Unplaced(
                visit=name,
                reasons=found if name == wish.visit else _kept(schedule, name),
            )
            for name in left_out
        ),
        cost=replace(
            evaluate.breakdown(board, draft),
            moved=_moved_cost(real, board, draft),
            unplaced=sum(real.price[i] for i in evaluate.left_out(real, draft)),
        ),
    )


def _as_planned(problem: Problem, schedule: Schedule, wish: Wish) -> tuple[Visit, ...]:
    """The visits, with the plan's places as what is promised and the wish as a lock."""
    slots = {
        stop.visit: Slot(crew=stop.crew, day=stop.day, start_min=stop.start_min)
        for stop in schedule.placed
    }
    return tuple(
        replace(visit, lock=wish.to, promise=wish.to)
        if visit.id == wish.visit
        else replace(visit, promise=slots.get(visit.id))
        for visit in problem.visits
    )


def _put(board: Board, draft: Draft, visit: int, to: Slot) -> tuple[Reason, ...]:
    """Put the visit where it is wanted; what speaks against it, if something does."""
    crew_day = board.crew_day_number.get((to.crew, to.day))
    if crew_day is None:
        return (_day_off(to.crew, to.day),)
    if reasons := explain.against(board, draft, visit, crew_day):
        return reasons
    if visit in board.groups:
        changed = build.cheapest_group(board, draft, visit)
        draft.update(changed or {})
        return () if changed else (_GOES_WITH_OTHERS,)
    best = build.cheapest_in(board, draft, crew_day, visit)
    if best is None:
        return (_OTHERS_WAIT,)
    draft[crew_day] = best[1]
    return ()


_GOES_WITH_OTHERS = Reason(
    code="goes_with_others", message="there is no place then for the visits that go with it"
)

_OTHERS_WAIT = Reason(
    code="others_wait", message="another crew that begins together with this one could not"
)


def _day_off(crew: str, day: date) -> Reason:
    return Reason(code="day_off", message=f"the crew does not work on {day}", crew=crew, day=day)


def _kept(schedule: Schedule, visit: str) -> tuple[Reason, ...]:
    return next((each.reasons for each in schedule.unplaced if each.visit == visit), ())


def _moved_cost(real: Board, board: Board, draft: Draft) -> int:
    """What it costs that published visits move, measured by what is published."""
    return sum(
        evaluate.moved_cost(
            real,
            real.visit_number[stop.visit],
            crew_day := real.crew_day_number[stop.crew, stop.day],
            worked(real.crew_days[crew_day], stop.start_min),
        )
        for stop in evaluate.placements(board, draft)
    )
