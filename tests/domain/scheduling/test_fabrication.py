"""Ready days by hand, by property, and against stone made piece by piece."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.scheduling.fabrication import Order, Works, ready_on

MONDAY = date(2030, 1, 7)
FRIDAY = MONDAY + timedelta(days=4)


def job(name: str = "job", area_m2: float = 5, on: date = MONDAY, due: int | None = None) -> Order:
    due_on = None if due is None else MONDAY + timedelta(days=due)
    return Order(job=name, area_m2=area_m2, released_on=on, due_on=due_on)


def days(orders, works, today=MONDAY) -> dict[str, int]:
    return {name: (day - MONDAY).days for name, day in ready_on(orders, works, today=today).items()}


def test_what_is_made_on_friday_leaves_on_monday():
    assert days([job(on=FRIDAY)], Works(capacity_m2=10)) == {"job": 7}
    assert days([job(on=FRIDAY)], Works(capacity_m2=10, weekdays=frozenset(range(7)))) == {"job": 5}
    assert days([job(on=FRIDAY + timedelta(days=1))], Works(capacity_m2=10)) == {"job": 8}


def test_the_lead_time_counts_working_days():
    assert days([job()], Works(capacity_m2=10, lead_days=5)) == {"job": 7}
    assert days([job(area_m2=30)], Works(capacity_m2=10, lead_days=1)) == {"job": 3}


def test_stone_released_long_ago_is_not_ready_in_the_past():
    assert days([job(on=MONDAY - timedelta(days=70))], Works(capacity_m2=10)) == {"job": 1}


def test_what_is_due_first_is_made_first_whoever_came_first():
    two = [job("old", 10, MONDAY - timedelta(days=7), due=20), job("pressing", 10, due=2)]
    assert days(two, Works(capacity_m2=10)) == {"pressing": 1, "old": 2}
    assert days([job("undated", 10), job("dated", 10, due=90)], Works(capacity_m2=10)) == {
        "dated": 1,
        "undated": 2,
    }


def test_no_stone_takes_no_capacity():
    orders = [job("nothing", 0, due=0), job("all", 10, due=1)]
    assert days(orders, Works(capacity_m2=10)) == {"nothing": 1, "all": 1}


orders_of = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 9), st.one_of(st.none(), st.integers(0, 20))),
    max_size=8,
).map(
    lambda rows: [
        job(f"job {n}", area, MONDAY + timedelta(days=on), due)
        for n, (area, on, due) in enumerate(rows)
    ]
)


def piece_by_piece(orders, works: Works) -> dict[str, int]:
    """The same for whole square metres: each day's metres given out one after another."""
    left = {order.job: int(order.area_m2) for order in orders}
    turn = sorted(orders, key=lambda o: (o.due_on or date.max, o.released_on, o.job))
    found: dict[str, date] = {}
    day = MONDAY
    while len(found) < len(orders):
        metres = int(works.capacity_m2) if day.weekday() in works.weekdays else 0
        for order in turn:
            while metres and left[order.job] and order.released_on <= day:
                left[order.job] -= 1
                metres -= 1
            is_open = day.weekday() in works.weekdays and order.released_on <= day
            if is_open and not left[order.job] and order.job not in found:
                found[order.job] = works.next_day(day)
        day += timedelta(days=1)
    return {name: (day - MONDAY).days for name, day in found.items()}


@given(orders_of, st.integers(1, 12))
def test_the_days_are_those_of_stone_made_piece_by_piece(orders, capacity):
    works = Works(capacity_m2=capacity)
    assert days(orders, works) == piece_by_piece(orders, works)


@given(orders_of, st.integers(1, 12), st.integers(0, 9), st.integers(0, 4))
def test_more_capacity_or_less_lead_is_never_later(orders, capacity, more, lead):
    works = Works(capacity_m2=capacity, lead_days=lead + 1)
    better = replace(works, capacity_m2=capacity + more, lead_days=lead)
    slow, fast = days(orders, works), days(orders, better)
    assert all(fast[name] <= slow[name] for name in slow)


def test_a_shop_that_cannot_be_is_refused():
    for fields in ({"capacity_m2": 0}, {"capacity_m2": 1, "lead_days": -1}):
        with pytest.raises(ValueError, match=r"capacity_m2|lead_days"):
            Works(**fields)
    for weekdays in (frozenset[int](), frozenset({7})):
        with pytest.raises(ValueError, match="weekdays"):
            Works(capacity_m2=1, weekdays=weekdays)
    with pytest.raises(ValueError, match="area_m2"):
        job(area_m2=-1)
