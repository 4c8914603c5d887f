"""The problem as tables, for those who look the same thing up a million times. It judges nothing.

A crew-day's break is cut out of its clock: inside, minutes are *worked* minutes, and a break costs
nothing to reckon with. ``worked`` and ``clock`` lead in and out. Visits and crew-days are numbers
here, a draft maps a crew-day's number to the numbers of its visits in order.

::

    clock   8:00 ......... 12:00 |pause| 12:30 ......... 17:00
    worked  480 ............ 720 | 720 ................... 990
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from functools import cached_property
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling.problem import Break, CrewDay, Problem, Slot, Visit
from crewjobs.domain.scheduling.travel import Place

Ints = NDArray[np.int64]

Draft = dict[int, tuple[int, ...]]
"""The visits of each crew-day, in order. A crew-day without visits is not in it."""

Span = tuple[int, int]
"""Two ends, both inside."""

FOREVER = 10**7
"""A day that never comes."""

NEVER: Span = (FOREVER, 0)
"""The span that holds nothing, and before which every day is too early."""

_ALL_DAY: Span = (0, 2 * 24 * 60)

_REACH_MIN = 4 * 24 * 60
"""As far as drives are followed; more than any crew-day has."""


def worked(crew_day: CrewDay, minute: int) -> int:
    """A minute of the clock as a worked minute; all of the break is its start.

    Examples
    --------
    >>> from datetime import date
    >>> from crewjobs.domain.scheduling.travel import Place
    >>> monday = CrewDay(crew="A", day=date(2030, 1, 7), depot=Place(at_lat=0, at_lon=0))
    >>> [worked(monday, minute) for minute in (700, 720, 735, 750, 800)]
    [700, 720, 720, 720, 770]
    """
    pause = crew_day.pause
    if pause is None or minute <= pause.start_min:
        return minute
    return max(pause.start_min, minute - (pause.end_min - pause.start_min))


def clock(crew_day: CrewDay, minute: int, *, ends: bool = False) -> int:
    """A worked minute on the clock: what starts with the break starts after it, what ends stays.

    Examples
    --------
    >>> from datetime import date
    >>> from crewjobs.domain.scheduling.travel import Place
    >>> monday = CrewDay(crew="A", day=date(2030, 1, 7), depot=Place(at_lat=0, at_lon=0))
    >>> clock(monday, 719), clock(monday, 720), clock(monday, 720, ends=True), clock(monday, 770)
    (719, 750, 720, 800)
    """
    pause = crew_day.pause
    if pause is None or minute < pause.start_min or (ends and minute == pause.start_min):
        return minute
    return minute + pause.end_min - pause.start_min


def arrival_windows(visit: Visit, crew_day: CrewDay) -> tuple[Span, ...]:
    """The worked minutes at which the visit may start on this crew-day, by its windows and lock."""
    spans = [_ALL_DAY]
    if visit.windows is not None:
        spans = [(w.earliest_min, w.latest_min) for w in visit.windows if w.day == crew_day.day]
    if visit.lock is not None and visit.lock.start_min is not None:
        start = visit.lock.start_min
        spans = [(start, start) for first, last in spans if first <= start <= last]
    inside = (_worked_span(crew_day, first, last) for first, last in sorted(spans))
    return tuple(span for span in inside if span[0] <= span[1])


def _worked_span(crew_day: CrewDay, first: int, last: int) -> Span:
    """The worked minutes whose clock minutes lie in a span: nothing starts inside the break."""
    pause = crew_day.pause
    if pause is not None and pause.start_min <= last < pause.end_min:
        last = pause.start_min - 1
    return worked(crew_day, first), worked(crew_day, last)


class Board:
    """A problem with its tables."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.costs = problem.costs
        self.visits = problem.visits
        self.crew_days = problem.crew_days
        self.visit_number = {visit.id: i for i, visit in enumerate(self.visits)}
        self.crew_day_number = {(c.crew, c.day): k for k, c in enumerate(self.crew_days)}
        self.day = [crew_day.day.toordinal() for crew_day in self.crew_days]
        self.shift_start = [worked(c, c.shift_start_min) for c in self.crew_days]
        self.shift_end = [worked(c, c.shift_end_min) for c in self.crew_days]
        self.latest_end = [
            end + c.max_overtime_min for end, c in zip(self.shift_end, self.crew_days, strict=True)
        ]
        self.promise_factor = [self._promise_factor(visit) for visit in self.visits]
        """How much dearer than published its promise is to break."""
        self.price = [self._price(i) for i in range(len(self.visits))]
        self.fit: dict[tuple[int, int], bool] = {}
        """Which visits could have which crew-day for themselves, as far as it was asked."""
        self._windows: dict[tuple[int, int], tuple[Span, ...]] = {}

    def _promise_factor(self, visit: Visit) -> int:
        if visit.promise is None:
            return 0
        is_today = visit.promise.day == self.problem.today
        today = self.costs.today_factor if is_today else 1
        return self.costs.promise_factors[visit.promised] * today

    def with_more(self, visits: Sequence[Visit]) -> "Board":
        """The same tables with further visits: all at one place, not promised, bound to none."""
        more, first = copy(self), len(self.visits)
        more.drive, site = self._drive_with(visits[0].place)
        more.site = [*self.site, *(site for _ in visits)]
        more.visits = (*self.visits, *visits)
        more.visit_number = self.visit_number | {v.id: first + n for n, v in enumerate(visits)}
        more.promise_factor = [*self.promise_factor, *(0 for _ in visits)]
        more.price = [*self.price, *(more._price(first + n) for n in range(len(visits)))]
        more.fit, more._windows = self.fit.copy(), self._windows.copy()
        return more

    def _drive_with(self, place: Place) -> tuple[list[list[int]], int]:
        """The minutes from place to place with one more of them, and its number."""
        if place in self._places:
            return self.drive, self._places[place]
        whole = self.problem.travel.minutes([*self._places, place])
        out, back = whole[-1].tolist(), whole[:-1, -1].tolist()
        rows = [[*row, there] for row, there in zip(self.drive, back, strict=True)]
        return [*rows, out], len(self._places)

    def start_price(self, visit: int, crew_day: int) -> int:
        """What it costs to start off the promised minute of the same day."""
        if self.is_soon(visit) and self.is_promised_to(visit, crew_day):
            return self.costs.thawed
        return self.costs.moved_start * self.promise_factor[visit]

    def _price(self, number: int) -> int:
        """What it costs to leave a visit out: it is then as late as on the day after the last."""
        visit = self.visits[number]
        extra = self.costs.dropped * self.promise_factor[number]
        extra += self.costs.unlocked if visit.lock else 0
        if visit.due_on and self.day:
            days = max(0, max(self.day) + 1 - visit.due_on.toordinal())
            extra += self.costs.late_day * visit.priority * days
        return self.costs.unplaced[visit.priority - 1] + extra

    @cached_property
    def _places(self) -> dict[Place, int]:
        places = [c.depot for c in self.crew_days] + [v.place for v in self.visits]
        return {place: n for n, place in enumerate(dict.fromkeys(places))}

    @cached_property
    def site(self) -> list[int]:
        """The number of each visit's place."""
        return [self._places[visit.place] for visit in self.visits]

    @cached_property
    def depot(self) -> list[int]:
        """The number of each crew-day's depot."""
        return [self._places[crew_day.depot] for crew_day in self.crew_days]

    @cached_property
    def drive(self) -> list[list[int]]:
        """Minutes from place to place, by their numbers."""
        places = list(
            dict.fromkeys([c.depot for c in self.crew_days] + [v.place for v in self.visits])
        )
        return self.problem.travel.minutes(places).tolist() if places else []

    @cached_property
    def predecessor(self) -> dict[int, tuple[int, int]]:
        """For a visit that comes after another: that other, and the lead in days."""
        return {
            i: (self.visit_number[visit.after.visit], visit.after.lead_days)
            for i, visit in enumerate(self.visits)
            if visit.after
        }

    @cached_property
    def successors(self) -> dict[int, list[tuple[int, int]]]:
        """The visits that come after one, each with its lead in days."""
        found = defaultdict(list)
        for i, (before, lead) in self.predecessor.items():
            found[before].append((i, lead))
        return dict(found)

    def is_soon(self, visit: int) -> bool:
        """Whether the visit was promised to start before the horizon."""
        promise, horizon = self.visits[visit].promise, self.problem.horizon
        if promise is None or horizon is None:
            return False
        return (promise.day, promise.start_min or 0) < (horizon.day, horizon.start_min)

    def is_promised_to(self, visit: int, crew_day: int) -> bool:
        """Whether the visit was published for this crew-day."""
        promise, at = self.visits[visit].promise, self.crew_days[crew_day]
        return promise is not None and (promise.crew, promise.day) == (at.crew, at.day)

    @cached_property
    def open_min(self) -> dict[str, int]:
        """The minutes of each crew's shifts."""
        found = defaultdict[str, int](int)
        for at, start, end in zip(self.crew_days, self.shift_start, self.shift_end, strict=True):
            found[at.crew] += end - start
        return dict(found)

    @cached_property
    def groups(self) -> dict[int, tuple[int, ...]]:
        """For each linked visit the visits that are placed with it or not at all, itself too."""
        leads = {
            visit.id: other for visit in self.visits if (other := visit.continues or visit.assists)
        }
        members = defaultdict[str, list[int]](list)
        for i, visit in enumerate(self.visits):
            root = visit.id
            while root in leads:
                root = leads[root]
            members[root].append(i)
        return {i: tuple(group) for group in members.values() if len(group) > 1 for i in group}

    @cached_property
    def continued_by(self) -> dict[int, int]:
        """The next part of a visit that takes more than a day."""
        parts = enumerate(self.visits)
        return {self.visit_number[each.continues]: i for i, each in parts if each.continues}

    @cached_property
    def assists(self) -> tuple[tuple[int, int], ...]:
        """Visits, and those that lend them a hand."""
        return tuple(
            (self.visit_number[each.assists], i)
            for i, each in enumerate(self.visits)
            if each.assists
        )

    @cached_property
    def next_day(self) -> dict[int, int]:
        """The crew-day on which the crew of one works next."""
        found = {}
        last: dict[str, int] = {}
        for k in sorted(range(len(self.crew_days)), key=self.day.__getitem__):
            crew = self.crew_days[k].crew
            if crew in last:
                found[last[crew]] = k
            last[crew] = k
        return found

    def windows(self, visit: int, crew_day: int) -> tuple[Span, ...]:
        """The worked minutes at which a visit may start on a crew-day."""
        key = visit, (-crew_day if self.is_soon(visit) else self._same_clock[crew_day])
        if key not in self._windows:
            spans = arrival_windows(self.visits[visit], self.crew_days[crew_day])
            if not (self.is_soon(visit) and self.is_promised_to(visit, crew_day)):
                spans = tuple(self._from_horizon(crew_day, spans))
            self._windows[key] = spans
        return self._windows[key]

    @cached_property
    def _same_clock(self) -> list[int]:
        """For each crew-day a number, the same for those of one day and with one break."""
        numbers: dict[object, int] = {}
        return [numbers.setdefault((c.day, c.pause), len(numbers) + 1) for c in self.crew_days]

    def _from_horizon(self, crew_day: int, spans: Iterable[Span]) -> Iterator[Span]:
        """What of the spans lies at or after the horizon."""
        horizon, at = self.problem.horizon, self.crew_days[crew_day]
        first = 0
        if horizon is not None and at.day <= horizon.day:
            is_past = at.day < horizon.day
            first = FOREVER if is_past else worked(at, horizon.start_min)
        return ((max(first, start), end) for start, end in spans if first <= end)

    @cached_property
    def _ways(self) -> dict[Break | None, list[int]]:
        """For each kind of break: how far, in percent, a drive is by each worked minute."""
        traffic = self.problem.traffic
        if traffic.is_even:
            return {}
        found = {}
        for at in {crew_day.pause: crew_day for crew_day in self.crew_days}.values():
            speeds = [traffic.percent(clock(at, minute)) for minute in range(_REACH_MIN)]
            found[at.pause] = [0, *accumulate(speeds)]
        return found

    def arrives(self, crew_day: int, leaves: int, drive: int) -> int:
        """The worked minute of arrival of a drive that takes so long at the usual speed."""
        if not self._ways or not drive:
            return leaves + drive
        way = self._ways[self.crew_days[crew_day].pause]
        return bisect_left(way, way[min(leaves, _REACH_MIN)] + 100 * drive)

    def arrivals(self, crew_day: int, leaves: Ints, drives: Ints) -> Ints:
        """`arrives` for many drives."""
        if not self._ways:
            return leaves + drives
        way = self._way_table[self.crew_days[crew_day].pause]
        there = np.searchsorted(way, way[np.minimum(leaves, _REACH_MIN)] + 100 * drives)
        return np.where(drives > 0, there, leaves)

    def leaves_by(self, crew_day: int, drives: Ints) -> Ints:
        """The last worked minutes at which the crew may set off home."""
        end = self.latest_end[crew_day]
        if not self._ways:
            return end - drives
        way = self._way_table[self.crew_days[crew_day].pause]
        last = np.searchsorted(way, way[end] - 100 * drives, side="right") - 1
        return np.where(drives > 0, last, end)

    @cached_property
    def _way_table(self) -> dict[Break | None, Ints]:
        return {pause: np.array(way, np.int64) for pause, way in self._ways.items()}

    def promised_start(self, visit: int, crew_day: int) -> int | None:
        """The worked minute of the published start, if it was published for this day."""
        promise: Slot | None = self.visits[visit].promise
        at = self.crew_days[crew_day]
        if promise is None or promise.start_min is None or promise.day != at.day:
            return None
        return worked(at, promise.start_min)
