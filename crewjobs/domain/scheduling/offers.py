"""Which windows can be promised for one more visit without hurting the plan, the cheapest first.

Nobody else changes crew or day, no start leaves what was told, and every rule holds. Rules and
costs are those of ``evaluate``; a place is asked about only if the minutes before and after it
leave room, and if its detour alone does not cost more than what is known.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from crewjobs.domain.scheduling import build, cells, evaluate, explain
from crewjobs.domain.scheduling.board import FOREVER, Board, Draft, Span, clock, worked
from crewjobs.domain.scheduling.problem import Problem, Reason, Schedule, Visit, Window

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
    A visit that is placed with others or not at all has none, see `refusal`.
    """
    return Desk(problem, schedule).offers(visit, spans=spans)


class Desk:
    """A plan with its tables, kept for one question after the other."""

    def __init__(self, problem: Problem, schedule: Schedule) -> None:
        self.schedule = schedule
        self.board = Board(problem)
        self._days: dict[tuple[int, tuple[int, ...]], _Day] = {}

    @cached_property
    def _draft(self) -> Draft:
        return build.draft_of(self.board, self.schedule)

    def offers(
        self, visit: Visit, *, spans: Sequence[tuple[int, int]] = SPANS
    ) -> tuple[Offer, ...]:
        """As the function of this name, in the plan of this desk."""
        if refusal(self.board.problem, visit):
            return ()
        number = self.board.visit_number.get(visit.id, -1)
        draft = explain.without(self._draft, number)
        days = sorted(_open(self.board, draft, visit))
        windows = [w for day in days for w in _windows(visit, date.fromordinal(day), spans)]
        asked = replace(cells.unlinked(visit), lock=None, promise=None)
        copies = [asked, *(replace(asked, windows=(window,)) for window in windows)]
        first = len(self.board.visits)
        board = self.board.with_more(
            [replace(copy, id=f"{visit.id} {n}") for n, copy in enumerate(copies)]
        )
        places = sorted(self._places(board, draft, first, days), key=lambda each: each.key)
        found = (
            _best(board, first + n, window, places) for n, window in enumerate(windows, start=1)
        )
        return tuple(
            sorted(
                (offer for offer in found if offer is not None),
                key=lambda each: (each.extra_cost, each.window.day, each.window.earliest_min),
            )
        )

    def _places(
        self, board: Board, draft: Draft, visit: int, days: Iterable[int]
    ) -> Iterator["_Place"]:
        """Every place between two visits that leaves the minutes for one more."""
        open_days = set(days)
        for k, day in enumerate(board.day):
            order = draft.get(k, ())
            if day not in open_days or not evaluate.fits(board, visit, k):
                continue
            if evaluate.loads(board, k, (*order, visit)):
                yield from _places(board, self._day(k, order), visit)

    def _day(self, crew_day: int, order: tuple[int, ...]) -> "_Day":
        key = crew_day, order
        if key not in self._days:
            self._days[key] = _day(self.board, crew_day, order)
        return self._days[key]


def refusal(problem: Problem, visit: Visit) -> Reason | None:
    """Why a visit is offered no windows at all; None if it is."""
    leads = {other for each in problem.visits for other in (each.continues, each.assists)}
    if visit.continues or visit.assists or visit.id in leads:
        return _GOES_WITH_OTHERS
    return None


_GOES_WITH_OTHERS = Reason(
    code="goes_with_others",
    message="it has parts on further days or a second crew, which one window says nothing of",
)


def _open(board: Board, draft: Draft, visit: Visit) -> set[int]:
    """The days that the visits before and after it leave."""
    days = evaluate.days_of(board, draft)
    number = board.visit_number.get(visit.id)
    first, last = 0, FOREVER
    if visit.after is not None and visit.after.visit in board.visit_number:
        before = board.visit_number[visit.after.visit]
        first = days.get(before, FOREVER) + visit.after.lead_days
    for later, lead in board.successors.get(number, ()) if number is not None else ():
        last = min(last, days.get(later, FOREVER) - lead)
    return {day for day in board.day if first <= day <= last}


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


@dataclass(frozen=True, slots=True)
class _Day:
    """A crew-day as it is, and how far each of its visits could be pushed, in worked minutes."""

    crew_day: int
    order: tuple[int, ...]
    now: evaluate.Route | None
    leaves: tuple[int, ...]
    """When the crew could leave each place for the next at the earliest, the depot first."""
    latest: tuple[int, ...]
    """When it must have come to each next place at the latest, the depot last."""


def _day(board: Board, crew_day: int, order: tuple[int, ...]) -> _Day:
    now = evaluate.route(board, crew_day, order) if order else None
    starts = now.starts if now else ()
    told = [_as_told(board, crew_day, i, s) for i, s in zip(order, starts, strict=True)]
    return _Day(
        crew_day, order, now, _leaves(board, crew_day, order, told),
        _latest(board, crew_day, order, told),
    )  # fmt: skip


def _as_told(board: Board, crew_day: int, visit: int, start: int) -> tuple[Span, ...]:
    """When a visit may start; if it starts as it was told, then only so that it still does."""
    at, promise = board.crew_days[crew_day], board.visits[visit].promise
    windows = board.windows(visit, crew_day)
    slack_min = board.costs.start_tolerance_min
    if promise is None or promise.start_min is None or promise.day != at.day:
        return windows
    if abs(clock(at, start) - promise.start_min) > slack_min:
        return windows
    first = worked(at, promise.start_min - slack_min)
    last = worked(at, promise.start_min + slack_min)
    return tuple((max(first, a), min(last, b)) for a, b in windows if a <= last and first <= b)


def _leaves(
    board: Board, crew_day: int, order: Sequence[int], told: Sequence[Sequence[Span]]
) -> tuple[int, ...]:
    here, found = board.depot[crew_day], [board.shift_start[crew_day]]
    for i, spans in zip(order, told, strict=True):
        there = board.arrives(crew_day, found[-1], board.drive[here][board.site[i]])
        start = evaluate.first_start(spans, there)
        found.append((there if start is None else start) + board.visits[i].duration_min)
        here = board.site[i]
    return tuple(found)


def _latest(
    board: Board, crew_day: int, order: Sequence[int], told: Sequence[Sequence[Span]]
) -> tuple[int, ...]:
    """Only where all hours are alike is the drive to the next one taken off too."""
    then, found = board.depot[crew_day], [board.latest_end[crew_day]]
    for i, spans in zip(reversed(order), reversed(told), strict=True):
        drive = board.drive[board.site[i]][then] if board.problem.traffic.is_even else 0
        by = found[-1] - drive - board.visits[i].duration_min
        found.append(max((min(last, by) for first, last in spans if first <= by), default=by))
        then = board.site[i]
    return tuple(reversed(found))


@dataclass(frozen=True, slots=True)
class _Place:
    """Between which visits of a crew-day one more could be, and what that costs at least."""

    day: _Day
    at: int
    least_cost: int
    earliest: int
    latest: int

    @property
    def key(self) -> tuple[int, int, int]:
        """The cheapest first."""
        return self.least_cost, self.day.crew_day, self.at


def _places(board: Board, day: _Day, visit: int) -> Iterator[_Place]:
    k, there, drive = day.crew_day, board.site[visit], board.drive
    sites = [board.depot[k], *(board.site[i] for i in day.order), board.depot[k]]
    alone = evaluate.fixed_cost(board, visit, k) + (0 if day.order else board.costs.crew_day)
    for n, leaves in enumerate(day.leaves):
        here, then = sites[n], sites[n + 1]
        back = drive[there][then] if board.problem.traffic.is_even else 0
        earliest = board.arrives(k, leaves, drive[here][there])
        latest = day.latest[n] - back - board.visits[visit].duration_min
        if earliest <= latest:
            detour = drive[here][there] + drive[there][then] - drive[here][then]
            yield _Place(day, n, alone + board.costs.drive * detour, earliest, latest)


def _best(board: Board, visit: int, window: Window, places: Iterable[_Place]) -> Offer | None:
    """The crew that keeps this window at the least cost; the places come cheapest first."""
    best: Offer | None = None
    for place in places:
        if best is not None and place.least_cost >= best.extra_cost:
            break
        k = place.day.crew_day
        if board.crew_days[k].day != window.day or not any(
            first <= place.latest and place.earliest <= last
            for first, last in board.windows(visit, k)
        ):
            continue
        offer = _offer(board, visit, window, place)
        if offer is not None and (best is None or offer.extra_cost < best.extra_cost):
            best = offer
    return best


def _offer(board: Board, visit: int, window: Window, place: _Place) -> Offer | None:
    """The visit in one place, if that hurts nobody."""
    k, order, n, before = place.day.crew_day, place.day.order, place.at, place.day.now
    at = board.crew_days[k]
    route = evaluate.route(board, k, (*order[:n], visit, *order[n:]))
    if route is None or route.moved_cost > (before.moved_cost if before else 0):
        return None
    return Offer(
        window=window,
        crew=at.crew,
        start_min=clock(at, route.starts[n]),
        extra_cost=route.cost - (before.cost if before else 0),
        drive_min=route.drive - (before.drive if before else 0),
        overtime_min=route.overtime - (before.overtime if before else 0),
        late_cost=evaluate.late_cost(board, visit, k),
        is_new_day=before is None,
    )
