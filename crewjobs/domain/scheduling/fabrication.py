"""When the stone is ready, by what the shop can make in a day and how long it takes at least.

It knows square metres a working day and an order of work, no machines: the shop works on what is
due first, on several jobs a day where one does not fill it.
"""

from collections import defaultdict
from collections.abc import Iterable, Set
from dataclasses import dataclass
from datetime import date, timedelta

from crewjobs.domain.facts import at_least, more_than_zero

ROUNDING_M2 = 1e-9
"""Square metres that are rounding, not stone."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """One job's stone."""

    job: str
    area_m2: float
    released_on: date
    """From this day on it may be worked on: measured, drawn, paid."""
    due_on: date | None = None

    def __post_init__(self) -> None:
        at_least("area_m2", self.area_m2, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Works:
    """What the shop can do."""

    capacity_m2: float
    """A working day."""
    lead_days: int = 0
    """Working days from the release until the stone is there at the earliest."""
    weekdays: Set[int] = frozenset(range(5))
    """0 is Monday."""

    def __post_init__(self) -> None:
        more_than_zero("capacity_m2", self.capacity_m2)
        at_least("lead_days", self.lead_days, 0)
        if not self.weekdays <= set(range(7)) or not self.weekdays:
            raise ValueError(f"weekdays are {sorted(self.weekdays)}, they must be some of 0 to 6")

    def next_day(self, day: date) -> date:
        """The working day after a day."""
        day += timedelta(days=1)
        while day.weekday() not in self.weekdays:
            day += timedelta(days=1)
        return day

    def first_day(self, day: date) -> date:
        """The day itself, or the next working day after it."""
        return self.next_day(day - timedelta(days=1))


def ready_on(orders: Iterable[Order], works: Works, *, today: date) -> dict[str, date]:
    """The first day on which each job's stone can leave: the working day after it is done.

    Examples
    --------
    On Monday the shop makes all of the first job and half of the second, which is due later.

    >>> monday = date(2030, 1, 7)
    >>> jobs = [
    ...     Order(job="second", area_m2=8, released_on=monday, due_on=date(2030, 1, 20)),
    ...     Order(job="first", area_m2=6, released_on=monday, due_on=date(2030, 1, 10)),
    ... ]
    >>> found = ready_on(jobs, Works(capacity_m2=10), today=monday)
    >>> {job: str(day) for job, day in sorted(found.items())}
    {'first': '2030-01-08', 'second': '2030-01-09'}
    """
    used_m2 = defaultdict[date, float](float)
    found = {}
    for order in sorted(orders, key=_turn):
        day = works.first_day(max(order.released_on, today))
        earliest = day
        for _ in range(works.lead_days):
            earliest = works.next_day(earliest)
        done = _made_by(order.area_m2, day, works, used_m2)
        found[order.job] = max(earliest, works.next_day(done))
    return found


def _turn(order: Order) -> tuple[date, date, str]:
    return order.due_on or date.max, order.released_on, order.job


def _made_by(area_m2: float, day: date, works: Works, used_m2: dict[date, float]) -> date:
    """The day on which the last of it is made; what it takes of each day is noted."""
    while True:
        taken_m2 = min(area_m2, works.capacity_m2 - used_m2[day])
        used_m2[day] += taken_m2
        area_m2 -= taken_m2
        if area_m2 <= ROUNDING_M2:
            return day
        day = works.next_day(day)
