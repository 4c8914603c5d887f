"""Days of many stops, such as a templater's, planned by PyVRP where it is installed (`routes`).

The search of this package is made for days of a few visits. A route solver is better at long days;
it is told of drives, windows, loads and prices, and its answer is only a proposal: every crew-day
of it is judged by ``evaluate``, what breaks a rule leaves it, and a dearer plan is not taken.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from importlib.util import find_spec
from statistics import median
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import build, evaluate
from crewjobs.domain.scheduling.board import Board, Draft
from crewjobs.domain.scheduling.problem import Progress, Stop, Visit

IS_INSTALLED = find_spec("pyvrp") is not None
if IS_INSTALLED:
    import pyvrp

LONG_STOPS = 7
"""A day of so many stops is long. Not measured: the search lists days of five or six whole."""

MANY_VISITS = 40
"""On one day; fewer are planned by the search, whatever their length."""

DRIVE_MIN = 10
"""A drive between two stops of a long day, about; only whether a board is long hangs on it."""

DAY_MIN = 4000
"""Between the origins of two days, for boards of several; longer than any day of work."""

FORBIDDEN = 10**7
"""The price of a way into a visit that a crew cannot do."""

Ints = NDArray[np.int64]

Word = Any
"""One of the solver's own objects; they come without types."""


def are_usual(board: Board) -> bool:
    """Whether most of the board's days would hold many stops, if the work is there."""
    if not board.visits or not board.crew_days or board.predecessor or board.groups:
        return False
    spent_min = median(visit.duration_min for visit in board.visits) + DRIVE_MIN
    shifts = zip(board.shift_start, board.shift_end, strict=True)
    shift_min = median(end - start for start, end in shifts)
    is_day = len(set(board.day)) == 1 and len(board.visits) >= MANY_VISITS
    is_full = len(board.visits) >= LONG_STOPS * len(board.crew_days)
    return shift_min >= LONG_STOPS * spent_min and (is_day or is_full)


def proposed(board: Board, draft: Draft, *, seed: int, stop: Stop) -> Draft:
    """The draft, or a cheaper one, when the rule says stop.

    The rule is asked in every iteration of the solver, with the cost of the best so far.
    """
    before = evaluate.breakdown(board, draft).total if draft else sum(board.price)
    orders = answer(board, seed=seed, stop=_Asked(stop, before, sum(board.price)))
    better = build.inserted(board, build.of_orders(board, orders))
    return better if evaluate.breakdown(board, better).total < before else draft


def answer(board: Board, *, seed: int, stop: Callable[[int], bool]) -> Mapping[int, Sequence[int]]:
    """What the solver itself says when `stop`, asked with the best cost so far, is true.

    Orders of visits for crew-days; nobody has judged them.
    """
    told = _Told(board)
    found = pyvrp.solve(
        told.data(),
        lambda best_cost: stop(best_cost),
        seed=seed,
        collect_stats=False,
        display=False,
    )
    return told.orders(found.best.routes())


class _Asked:
    """A stop rule as PyVRP asks one: by the best cost, once in an iteration."""

    def __init__(self, stop: Stop, before: int, most: int) -> None:
        self.stop, self.most = stop, most
        self.progress = Progress(iterations=0, idle=0, cost=before)
        self.best = float("inf")

    def __call__(self, best_cost: int) -> bool:
        idle = 0 if best_cost < self.best else self.progress.idle + 1
        self.best = min(self.best, best_cost)
        cost = self.progress.cost
        if best_cost < self.most:
            cost = min(cost, best_cost)
        self.progress = Progress(iterations=self.progress.iterations + 1, idle=idle, cost=cost)
        return self.stop(self.progress)


class _Kind(NamedTuple):
    """What a crew can; a crew that some visit was promised or locked to has a kind of its own."""

    crew: str
    hands: int
    skills: frozenset[str]
    payload_kg: float
    frame_length_mm: float
    frame_thickness_mm: float

    def can(self, visit: Visit) -> bool:
        """Whether it can do a visit at all."""
        return (
            visit.hands <= self.hands
            and visit.skills <= self.skills
            and visit.mass_kg <= self.payload_kg
            and visit.longest_piece_mm <= self.frame_length_mm
            and visit.load_thickness_mm <= self.frame_thickness_mm
            and (visit.lock is None or visit.lock.crew == self.crew)
        )


class _Told:
    """A board in the solver's words: kinds of crew-days, copies of a visit for its windows."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.days = sorted(set(board.day))
        self.depots = sorted(set(board.depot))
        slots = (slot for v in board.visits for slot in (v.lock, v.promise) if slot)
        self.named = {slot.crew for slot in slots}
        self.alike = self._alike()
        self.kinds = list(dict.fromkeys(map(self._kind, range(len(board.crew_days)))))
        self.visit_of: list[int] = []
        """The visit of each client."""

    def _alike(self) -> list[list[int]]:
        """Crew-days that are the same to every visit, side by side."""
        groups = defaultdict[object, list[int]](list)
        for k, at in enumerate(self.board.crew_days):
            shift = self.board.shift_start[k], self.board.shift_end[k], self.board.latest_end[k]
            groups[at.day, at.depot, shift, self._kind(k)].append(k)
        return list(groups.values())

    def _kind(self, crew_day: int) -> _Kind:
        at = self.board.crew_days[crew_day]
        name = at.crew if at.crew in self.named else ""
        return _Kind(
            name,
            at.hands,
            at.skills,
            at.payload_kg,
            at.frame_length_mm,
            at.frame_thickness_mm,
        )

    def data(self) -> Word:
        """All of it."""
        places = self.depots + self.board.site
        drive: Ints = np.array(self.board.drive, np.int64)[np.ix_(places, places)]
        ways: list[Word] = [self._costs(kind, drive) for kind in self.kinds]
        spans: list[Word] = [drive] * len(self.kinds)
        clients, groups = self._clients()
        return pyvrp.ProblemData(
            [pyvrp.Location(0, 0) for _ in places],
            clients,
            [pyvrp.Depot(n) for n in range(len(self.depots))],
            [self._vehicles(same) for same in self.alike],
            ways,
            spans,
            groups,
        )

    def orders(self, routes: Iterable[Word]) -> Mapping[int, Sequence[int]]:
        """The visits of each crew-day as the solver's routes have them."""
        free = [list(same) for same in self.alike]
        return {
            free[route.vehicle_type()].pop(0): [
                self.visit_of[stop.idx] for stop in route if stop.is_client()
            ]
            for route in routes
        }

    def _clients(self) -> tuple[list[Word], list[Word]]:
        """The copies of the visits, and which of them belong together."""
        clients, groups = list[Word](), list[Word]()
        for visit in range(len(self.board.visits)):
            spans = self._spans(visit)
            group = None
            if len(spans) > 1:
                group = len(groups)
                copies = range(len(clients), len(clients) + len(spans))
                groups.append(pyvrp.ClientGroup(list(copies), required=False))
            clients += [self._client(visit, span, group) for span in spans]
            self.visit_of += [visit] * len(spans)
        return clients, groups

    def _client(self, visit: int, span: tuple[int, int, int], group: int | None) -> Word:
        low, high, extra = span
        of = self.board.visits[visit]
        return pyvrp.Client(
            len(self.depots) + visit,
            delivery=[round(of.mass_kg), round(of.load_thickness_mm)],
            service_duration=of.duration_min,
            tw_early=low,
            tw_late=high,
            prize=max(0, self.board.price[visit] - extra),
            required=False,
            group=group,
        )

    def _spans(self, visit: int) -> list[tuple[int, int, int]]:
        """When it may begin, on one line of time, and what each costs beside the drive.

        Days on which any hour of the crews will do are told as one span while their costs agree:
        the crews' own shifts bound them.
        """
        merged: list[tuple[int, int, int]] = []
        reaches_on = None
        for day in self.days:
            spans = self._spans_on(visit, day)
            is_open = [(low, high) for low, high, _ in spans] == [self._whole(day)]
            if (
                is_open
                and merged
                and reaches_on == self._before(day)
                and merged[-1][2] == spans[0][2]
            ):
                merged[-1] = merged[-1][0], spans[0][1], spans[0][2]
            else:
                merged += spans
            reaches_on = day if is_open else None
        return merged

    def _before(self, day: int) -> int | None:
        place = self.days.index(day)
        return self.days[place - 1] if place else None

    def _whole(self, day: int) -> tuple[int, int]:
        origin = (day - self.days[0]) * DAY_MIN
        return origin, origin + DAY_MIN - 1

    def _spans_on(self, visit: int, day: int) -> list[tuple[int, int, int]]:
        """The same on one day; a window that no shift reaches beyond is the whole day."""
        origin, last = self._whole(day)
        found: dict[tuple[int, int], int] = {}
        for same in self.alike:
            k = same[0]
            if self.board.day[k] == day and evaluate.fits(self.board, visit, k):
                extra = evaluate.late_cost(self.board, visit, k)
                extra += evaluate.away_cost(self.board, visit, k)
                for low, high in self.board.windows(visit, k):
                    is_open = low <= self.board.shift_start[k] and high >= self.board.latest_end[k]
                    span = (origin, last) if is_open else (origin + low, origin + high)
                    found[span] = min(extra, found.get(span, extra))
        return [(low, high, extra) for (low, high), extra in sorted(found.items())]

    def _vehicles(self, same: Sequence[int]) -> Word:
        board, k = self.board, same[0]
        at = board.crew_days[k]
        origin = (board.day[k] - self.days[0]) * DAY_MIN
        return pyvrp.VehicleType(
            len(same),
            [round(at.payload_kg), round(at.frame_thickness_mm)],
            self.depots.index(board.depot[k]),
            self.depots.index(board.depot[k]),
            fixed_cost=board.costs.crew_day,
            tw_early=origin + board.shift_start[k],
            tw_late=origin + board.latest_end[k],
            start_late=origin + board.shift_start[k],
            shift_duration=board.shift_end[k] - board.shift_start[k],
            max_overtime=at.max_overtime_min,
            unit_overtime_cost=board.costs.overtime,
            unit_distance_cost=1,
            profile=self.kinds.index(self._kind(k)),
        )

    def _costs(self, kind: _Kind, drive: Ints) -> Ints:
        """What each way costs a kind of crew."""
        table = drive * self.board.costs.drive
        for i, visit in enumerate(self.board.visits):
            if not kind.can(visit):
                table[:, len(self.depots) + i] += FORBIDDEN
            elif visit.promise and visit.promise.crew != kind.crew:
                table[:, len(self.depots) + i] += self.board.costs.moved_crew
        np.fill_diagonal(table, 0)
        return table
