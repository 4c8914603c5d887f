"""What the invented shop's customers order, and what is special about some of them.

Knows days counted from today, and the generator that is handed in.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from random import Random

from crewjobs.actions.orders import CustomerEntry, HoursEntry, VisitEntry, WindowEntry, WorkOrder
from crewjobs.domain.facts import HoldReason, VisitKind, Work
from crewjobs.management import demo_shop
from crewjobs.management.demo_shop import Kitchen
from crewjobs.models import HoursKind, Priority


@dataclass(frozen=True, kw_only=True, slots=True)
class Wave:
    """Jobs that were booked in the same days; days count from today."""

    name: str
    jobs: int
    booked: tuple[int, int]
    ready: tuple[int, int]
    with_sizes: int
    """So many come with their sizes; the others are templated first."""


WAVES = (
    Wave(name="past", jobs=17, booked=(-34, -30), ready=(-13, -3), with_sizes=11),
    Wave(name="coming", jobs=23, booked=(-26, -16), ready=(1, 9), with_sizes=11),
    Wave(name="new", jobs=19, booked=(-10, -1), ready=(3, 10), with_sizes=12),
)
STORIES = {
    ("past", 0): "broken",
    ("past", 1): "not ready for us",
    ("past", 2): "open item",
    ("past", 3): "today",
    ("past", 4): "today",
    ("past", 5): "today",
    ("coming", 0): "saturday",
    ("coming", 1): "windows",
    ("coming", 2): HoldReason.PAYMENT_DUE,
    ("coming", 3): "lift",
    ("coming", 4): HoldReason.BUILDING_BOOKING_MISSING,
    ("coming", 5): "island",
    ("coming", 6): "urgent",
    ("coming", 15): "cancelled",
    ("new", 0): HoldReason.INSURANCE_PAPER_MISSING,
    ("new", 1): "no ready date",
    ("new", 2): "urgent",
    ("new", 3): "windows",
    ("new", 14): "cancelled",
}
"""What is special about some jobs, by their wave and place in it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Ordered:
    """An order, when it comes, and what will be found when the site is measured."""

    order: WorkOrder
    kitchen: Kitchen
    booked: int
    booked_min: int
    ready_on: dt.date
    story: str


def orders(today: dt.date, rng: Random) -> Iterator[Ordered]:
    """All orders, wave by wave."""
    customers = demo_shop.customers(rng)
    for wave in WAVES:
        for number in range(wave.jobs):
            yield _ordered(wave, number, next(customers), today, rng)


def _ordered(
    wave: Wave, number: int, customer: CustomerEntry, today: dt.date, rng: Random
) -> Ordered:
    story = STORIES.get((wave.name, number), "")
    kitchen = demo_shop.kitchen(rng, demo_shop.great_island if story == "island" else None)
    ready = wave.ready[0] if number < 3 else rng.randint(*wave.ready)
    ready_on = today + dt.timedelta(ready)
    plain = WorkOrder(
        customer=customer,
        site=demo_shop.site(rng),
        title=kitchen.title,
        stone_ready_on=ready_on,
        due_on=ready_on + dt.timedelta(rng.randint(4, 9)),
        priority=rng.choices((Priority.USUAL, Priority.SOON), weights=(4, 1))[0],
        balance_cents=rng.choice((0, 0, 60_000, 145_000)),
    )
    if number < wave.with_sizes:
        plain = replace(plain, work=kitchen.work, finishes=kitchen.finishes)
    else:
        plain = replace(plain, work=Work(route=kitchen.work.route))
    return Ordered(
        order=_special(plain, story, today, rng),
        kitchen=kitchen,
        booked=rng.randint(*wave.booked),
        booked_min=rng.randrange(8 * 60, 15 * 60),
        ready_on=ready_on,
        story=story,
    )


def _special(plain: WorkOrder, story: str, today: dt.date, rng: Random) -> WorkOrder:
    """The order with what its story adds."""
    if isinstance(story, HoldReason):
        return replace(plain, holds=(story,))
    change = _CHANGES.get(story)
    return change(plain, today, rng) if change else plain


def _urgent(plain: WorkOrder, _today: dt.date, _rng: Random) -> WorkOrder:
    texts = replace(plain.customer, takes_texts=True)
    return replace(plain, priority=Priority.URGENT, customer=texts)


def _without_ready_date(plain: WorkOrder, _today: dt.date, _rng: Random) -> WorkOrder:
    return replace(plain, stone_ready_on=None)


def _in_a_building(plain: WorkOrder, today: dt.date, _rng: Random) -> WorkOrder:
    nine, noon = dt.time(9), dt.time(12)
    building = [
        HoursEntry(kind=HoursKind.BUILDING, weekday=day, starts_at=nine, ends_at=dt.time(16))
        for day in range(5)
    ]
    lift = [
        HoursEntry(kind=HoursKind.LIFT, on=day, starts_at=nine, ends_at=noon)
        for day in workdays(today, 2, 12)[::3]
    ]
    site = replace(plain.site, hours=(*building, *lift), access_note="Ring at the desk")
    return replace(plain, site=site)


def _on_some_days(plain: WorkOrder, today: dt.date, rng: Random) -> WorkOrder:
    return _with_windows(plain, rng.sample(workdays(today, 4, 14), 3))


def _today(plain: WorkOrder, today: dt.date, _rng: Random) -> WorkOrder:
    day = workdays(today, 0, 3)[0]
    return _with_windows(replace(plain, stone_ready_on=day - dt.timedelta(days=2)), [day])


def _on_saturdays(plain: WorkOrder, today: dt.date, _rng: Random) -> WorkOrder:
    days = [today + dt.timedelta(number) for number in range(1, 15)]
    return _with_windows(plain, [day for day in days if day.weekday() == 5])


def _with_windows(plain: WorkOrder, days: list[dt.date]) -> WorkOrder:
    windows = tuple(
        WindowEntry(on=day, starts_at=dt.time(8), ends_at=dt.time(13)) for day in sorted(days)
    )
    install = VisitEntry(kind=VisitKind.INSTALL, windows=windows, due_on=plain.due_on)
    return replace(plain, visits=(install,))


def workdays(today: dt.date, first: int, last: int) -> list[dt.date]:
    """Monday to Friday among the days from the first to the last, counted from today."""
    days = [today + dt.timedelta(number) for number in range(first, last + 1)]
    return [day for day in days if day.weekday() < 5]


_CHANGES: dict[str, Callable[[WorkOrder, dt.date, Random], WorkOrder]] = {
    "urgent": _urgent,
    "no ready date": _without_ready_date,
    "lift": _in_a_building,
    "windows": _on_some_days,
    "saturday": _on_saturdays,
    "today": _today,
}
