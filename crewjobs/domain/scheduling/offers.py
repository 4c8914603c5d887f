"""Which windows can be promised for one more visit without hurting the plan, the cheapest first.

Nobody else changes crew or day, no start leaves what was told, and every rule holds. Rules and
costs are those of ``evaluate``; nothing is searched.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from crewjobs.domain.scheduling import build, cells, evaluate
from crewjobs.domain.scheduling.board import Board, Draft, clock
from crewjobs.domain.scheduling.problem import Problem, Schedule, Visit, Window

SPANS: tuple[tuple[int, int], ...] = ((480, 600), (600, 720), (720, 840), (840, 960))
"""Arrivals to choose from, in minutes of the day: two hours each. Common practice."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """A window that can be promised, who would come, and what that adds to the plan."""

    window: Window
    crew: str
    start_min: int
    """When the crew would be there by the plan of now."""
    extra_cost: int
    """All of it, in the plan's unit of cost."""
    drive_min: int
    """More driving."""
    overtime_min: int
    """More minutes after the end of the shift."""
    late_cost: int
    """Of the days after its due date."""
    is_new_day: bool
    """The crew would be sent out for this visit alone."""


def offers(
    problem: Problem,
    schedule: Schedule,
    visit: Visit,
    *,
    spans: Sequence[tuple[int, int]] = SPANS,
) -> tuple[Offer, ...]:
    """Every window that can be promised for a visit, the cheapest first.

    The visit may be in the problem: then it is looked at as if nobody had placed or promised it.
    """
    asked = replace(cells.unlinked(visit), lock=None, promise=None)
    days = sorted({at.day for at in problem.crew_days})
    windows = [window for day in days for window in _windows(visit, day, spans)]
    others = tuple(each for each in problem.visits if each.id != visit.id)
    if len(others) < len(problem.visits):
        others = tuple(cells.unlinked(each, {v.id for v in others}) for each in others)
    copies = tuple(
        replace(asked, id=f"{visit.id} {n}", windows=(window,)) for n, window in enumerate(windows)
    )
    board = Board(replace(problem, visits=(*others, *copies)))
    draft = build.draft_of(board, schedule)
    found = (_best(board, draft, len(others) + n, window) for n, window in enumerate(windows))
    return tuple(
        sorted(
            (offer for offer in found if offer is not None),
            key=lambda each: (each.extra_cost, each.window.day, each.window.earliest_min),
        )
    )


def _windows(visit: Visit, day: date, spans: Sequence[tuple[int, int]]) -> Iterator[Window]:
    """The spans of a day as far as the visit's own windows hold them."""
    own = [(0, 24 * 60)]
    if visit.windows is not None:
        own = [(w.earliest_min, w.latest_min) for w in visit.windows if w.day == day]
    for first, last in spans:
        for earliest, latest in own:
            if max(first, earliest) < min(last, latest):
                yield Window(
                    day=day, earliest_min=max(first, earliest), latest_min=min(last, latest)
                )


def _best(board: Board, draft: Draft, visit: int, window: Window) -> Offer | None:
    """The crew that keeps this window at the least cost."""
    bounds = sorted(
        (cells.least_extra_cost(board, k, draft.get(k, ()), visit), k)
        for k, at in enumerate(board.crew_days)
        if at.day == window.day and evaluate.fits(board, visit, k)
    )
    best: Offer | None = None
    for bound, k in bounds:
        if best is not None and bound >= best.extra_cost:
            break
        for offer in _with_crew(board, k, draft.get(k, ()), visit, window):
            if best is None or offer.extra_cost < best.extra_cost:
                best = offer
    return best


def _with_crew(
    board: Board, crew_day: int, order: tuple[int, ...], visit: int, window: Window
) -> Iterator[Offer]:
    """The visit at each place of the crew's day that hurts nobody."""
    before = evaluate.route(board, crew_day, order) if order else None
    at = board.crew_days[crew_day]
    for n in range(len(order) + 1):
        route = evaluate.route(board, crew_day, (*order[:n], visit, *order[n:]))
        if route is None or route.moved_cost > (before.moved_cost if before else 0):
            continue
        yield Offer(
            window=window,
            crew=at.crew,
            start_min=clock(at, route.starts[n]),
            extra_cost=route.cost - (before.cost if before else 0),
            drive_min=route.drive - (before.drive if before else 0),
            overtime_min=route.overtime - (before.overtime if before else 0),
            late_cost=evaluate.late_cost(board, visit, crew_day),
            is_new_day=before is None,
        )
