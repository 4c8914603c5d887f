"""The problem as tables, for those who look the same thing up a million times. It judges nothing.

A crew-day's break is cut out of its clock: inside, minutes are *worked* minutes, and a break costs
nothing to reckon with. ``worked`` and ``clock`` lead in and out. Visits and crew-days are numbers
here, a draft maps a crew-day's number to the numbers of its visits in order.

::

    clock   8:00 ......... 12:00 |pause| 12:30 ......... 17:00
    worked  480 ............ 720 | 720 ................... 990
"""

from collections import defaultdict
from functools import cached_property

from crewjobs.domain.scheduling.problem import CrewDay, Problem, Slot, Visit

Draft = dict[int, tuple[int, ...]]
"""The visits of each crew-day, in order. A crew-day without visits is not in it."""

Span = tuple[int, int]
"""Two ends, both inside."""

FOREVER = 10**7
"""A day that never comes."""

NEVER: Span = (FOREVER, 0)
"""The span that holds nothing, and before which every day is too early."""

_ALL_DAY: Span = (0, 2 * 24 * 60)


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
        self.price = [self._price(visit) for visit in self.visits]
        self.fit: dict[tuple[int, int], bool] = {}
        """Which visits could have which crew-day for themselves, as far as it was asked."""
        self._windows: dict[tuple[int, int], tuple[Span, ...]] = {}

    def _price(self, visit: Visit) -> int:
        """What it costs to leave a visit out: it is then as late as on the day after the last."""
        extra = self.costs.dropped if visit.promise else 0
        extra += self.costs.unlocked if visit.lock else 0
        if visit.due_on and self.day:
            days = max(0, max(self.day) + 1 - visit.due_on.toordinal())
            extra += self.costs.late_day * visit.priority * days
        return self.costs.unplaced[visit.priority - 1] + extra

    @cached_property
    def _places(self) -> dict[object, int]:
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

    def windows(self, visit: int, crew_day: int) -> tuple[Span, ...]:
        """The worked minutes at which a visit may start on a crew-day."""
        key = visit, crew_day
        if key not in self._windows:
            self._windows[key] = arrival_windows(self.visits[visit], self.crew_days[crew_day])
        return self._windows[key]

    def promised_start(self, visit: int, crew_day: int) -> int | None:
        """The worked minute of the published start, if it was published for this day."""
        promise: Slot | None = self.visits[visit].promise
        at = self.crew_days[crew_day]
        if promise is None or promise.start_min is None or promise.day != at.day:
            return None
        return worked(at, promise.start_min)
