"""A month lived through three times: ``python -m tests.bench.rehearsal --crews 3 10``.

Ours beside a careful person with a spreadsheet (hours per square foot, the nearest free day, first
come, first served, nothing moved but by hand) and beside greedy insertion with the true mean hours.
Same orders, same true hours, same bad luck: sick crews, sites that are not ready, broken pieces,
traffic, weather. A customer is told a start; arriving up to an hour after it is on time.
"""

import argparse
import time
from collections import defaultdict
from dataclasses import dataclass, field, replace

from crewjobs.domain.scheduling import (
    Place,
    Problem,
    Promised,
    Slot,
    Visit,
    after_iterations,
    solve,
)
from tests.bench.rehearsal_world import (
    DAYS,
    LUNCH_AT,
    LUNCH_MIN,
    NO_GO_MIN,
    PAYLOAD_KG,
    SHIFT,
    TRAVEL,
    Month,
    Order,
    day_of,
    on,
    windows_of,
)

TOLD_DAYS = 5
"""How far ahead a plan is published, in working days."""
GRACE_MIN = 60
EARLY_MIN = 30
"""So much before the told start a crew may begin."""
MOST_OVER_MIN = 60
PLANNED_SHARE = 0.7
"""Of the way from P50 to P80, what a visit is planned with."""
ITERATIONS = 150

Told = dict[str, tuple[int, int, int]]
"""Of each order: crew, working day, start."""


@dataclass
class Diary:
    """What happened."""

    arrived: int = 0
    on_time: int = 0
    served: int = 0
    crew_days: int = 0
    ended_on_time: int = 0
    over_min: float = 0.0
    drive_min: float = 0.0
    idle_min: float = 0.0
    told: set[str] = field(default_factory=set)
    moved: set[str] = field(default_factory=set)

    def line(self, name: str, left: int) -> str:
        days = max(1, self.crew_days)
        return (
            f"{name:11} {self.on_time / max(1, self.arrived):7.1%} {self.ended_on_time / days:7.1%}"
            f" {self.over_min / days:8.1f} {self.drive_min / max(1, self.served):7.1f}"
            f" {self.served / days:7.2f} {len(self.moved) / max(1, len(self.told)):7.1%}"
            f" {self.idle_min / days:7.1f} {self.served:7} {left:6}"
        )


class Planner:
    """Plans every evening by our planner, and in the morning anew if a crew is sick."""

    iterations = ITERATIONS

    def __init__(self, month: Month) -> None:
        self.month = month
        self.told: Told = {}

    def minutes(self, order: Order) -> float:
        return order.p50_min + PLANNED_SHARE * (order.p80_min - order.p50_min)

    def evening(self, day: int, orders: list[Order]) -> Told:
        """What is told for the days after this one."""
        return self._plan(range(day + 1, day + 1 + TOLD_DAYS), orders, set())

    def morning(self, day: int, orders: list[Order], sick: set[int]) -> Told:
        """The same when crews are missing today."""
        if sick:
            return self._plan(range(day, day + TOLD_DAYS), orders, sick)
        return self.told

    def _plan(self, days: range, orders: list[Order], sick: set[int]) -> Told:
        crew_days = tuple(
            self.month.crew_day(crew, day)
            for crew in range(self.month.crews)
            for day in days
            if not (crew in sick and day == days[0])
        )
        asked = [order for order in orders if order.ready_on <= days[-1]]
        problem = Problem(
            crew_days=crew_days,
            visits=tuple(self._visit(order, days) for order in asked),
            travel=TRAVEL,
            today=on(days[0]),
        )
        plan = solve(problem, seed=1, stop=after_iterations(self.iterations, idle=60))
        self.told = {s.visit: (int(s.crew), day_of(s.day), s.start_min) for s in plan.placed}
        return self.told

    def _visit(self, order: Order, days: range) -> Visit:
        told = self.told.get(order.name)
        promise = None
        if told is not None and told[1] in days:
            promise = Slot(crew=f"{told[0]:03}", day=on(told[1]), start_min=told[2])
        return Visit(
            id=order.name,
            place=order.place,
            duration_min=round(self.minutes(order)),
            windows=windows_of(order, days),
            ready_on=on(order.ready_on),
            due_on=on(order.due_on),
            priority=2 if order.is_return else 1,
            hands=order.hands,
            mass_kg=order.mass_kg,
            longest_piece_mm=order.longest_mm,
            promise=promise,
            promised=Promised.TOLD,
        )


class Greedy(Planner):
    """The cheapest place for one visit after the other, by the true mean hours."""

    iterations = 0

    def minutes(self, order: Order) -> float:
        return order.mean_min


class Spreadsheet:
    """Hours per square foot; each order on the nearest free day, near what is there already."""

    drive_min = 30
    looks_days = 25

    def __init__(self, month: Month) -> None:
        self.month = month
        self.told: Told = {}
        self.days: dict[tuple[int, int], list[tuple[int, Order]]] = {}
        """What each crew has on each day, by start."""

    def minutes(self, order: Order) -> float:
        return order.by_area_min

    def evening(self, day: int, orders: list[Order]) -> Told:
        self._copy(orders)
        for order in orders:
            if order.name not in self.told:
                self._book(order, day + 1)
        return self.told

    def morning(self, day: int, orders: list[Order], sick: set[int]) -> Told:
        self._copy(orders)
        for crew in sick:
            for _, order in self.days.pop((crew, day), []):
                del self.told[order.name]
                self._book(order, day + 1)
        return self.told

    def _copy(self, orders: list[Order]) -> None:
        """What still stands, each crew's day on a line of its own."""
        known = {order.name: order for order in orders}
        self.told = {name: told for name, told in self.told.items() if name in known}
        self.days = defaultdict(list)
        for name, (crew, day, start) in sorted(self.told.items(), key=lambda each: each[1][2]):
            self.days[crew, day].append((start, known[name]))

    def _book(self, order: Order, first: int) -> None:
        first = max(first, order.ready_on)
        for day in range(first, first + self.looks_days):
            window = order.window_on(day)
            free = [
                (self._away(order, crew, day), crew, start)
                for crew in range(self.month.crews)
                if window and (start := self._start(order, crew, day, window)) is not None
            ]
            if free:
                _, crew, start = min(free)
                self.told[order.name] = crew, day, start
                self.days[crew, day] = [*self.days.get((crew, day), []), (start, order)]
                return

    def _start(self, order: Order, crew: int, day: int, window: tuple[int, int]) -> int | None:
        """After what the crew has on that day, if the day is not full."""
        there = self.days.get((crew, day), [])
        mass = sum(other.mass_kg for _, other in there) + order.mass_kg
        if self.month.hands[crew] < order.hands or mass > PAYLOAD_KG:
            return None
        ends = (start + round(self.minutes(other)) for start, other in there)
        free = max(ends, default=SHIFT[0]) + self.drive_min
        free = free + LUNCH_MIN if free > LUNCH_AT else free
        start = max(free, window[0])
        is_over = start + self.minutes(order) + self.drive_min > SHIFT[1]
        return None if start > window[1] or is_over else start

    def _away(self, order: Order, crew: int, day: int) -> float:
        places = [other.place for _, other in self.days.get((crew, day), [])]
        return float(TRAVEL.minutes([order.place, *places])[0, 1:].min()) if places else 15.0


def live(month: Month, planner) -> str:
    """The month with one way of planning, as a line of figures."""
    diary, open_orders = Diary(), [o for o in month.orders if o.known_on < 0]
    coming = [o for o in month.orders if o.known_on >= 0]
    told = planner.evening(-1, open_orders)
    diary.told |= told.keys()
    for day in range(DAYS):
        sick = {crew for crew in range(month.crews) if (crew, day) in month.sick}
        before = dict(told)
        told = planner.morning(day, open_orders, sick)
        _count_moves(diary, before, told)
        done, again = _worked(month, day, told, open_orders, diary)
        open_orders = [order for order in open_orders if order.name not in done] + again
        open_orders += [order for order in coming if order.known_on == day]
        before = {name: at for name, at in told.items() if name not in done and at[1] > day}
        planner.told = dict(before)
        told = planner.evening(day, open_orders)
        _count_moves(diary, before, told)
        diary.told |= told.keys()
    name = type(planner).__name__.lower().replace("planner", "ours")
    return diary.line(name, len([o for o in open_orders if o.due_on < DAYS]))


def _count_moves(diary: Diary, before: Told, after: Told) -> None:
    """Customers who are told another day, another hour, or nothing any more."""
    for name, (_, day, start) in before.items():
        now = after.get(name)
        if now is None or now[1] != day or abs(now[2] - start) > GRACE_MIN:
            diary.moved.add(name)


def _worked(month: Month, day: int, told: Told, orders: list[Order], diary: Diary):
    """The day as it comes: what was done, and what has to be done again."""
    known = {order.name: order for order in orders}
    days = defaultdict[int, list[tuple[int, Order]]](list)
    for name, (crew, on_day, start) in sorted(told.items(), key=lambda each: each[1][2]):
        if on_day == day and name in known:
            days[crew].append((start, known[name]))
    done: set[str] = set()
    again: list[Order] = []
    for crew, stops in days.items():
        lived = _Crew(month, day, diary)
        lived.through(month.crew_day(crew, day).depot, stops)
        done |= lived.done
        again += lived.again
    return done, again


class _Crew:
    """One crew on one day: drives, waits, works, and comes home when it comes home."""

    def __init__(self, month: Month, day: int, diary: Diary) -> None:
        self.rough = month.rough[day]
        self.day, self.diary, self.now = day, diary, float(SHIFT[0])
        self.done: set[str] = set()
        self.again: list[Order] = []

    def through(self, depot: Place, stops: list[tuple[int, Order]]) -> None:
        here = depot
        for start, order in stops:
            leg_min = self._leg(here, order.place) * order.traffic
            arrives = self._after(leg_min)
            self.diary.arrived += 1
            if arrives + order.p50_min > SHIFT[1] + MOST_OVER_MIN + 45:
                self.diary.moved.add(order.name)  # put off on the day itself
                continue
            self.diary.drive_min += leg_min
            self.diary.on_time += arrives <= start + GRACE_MIN
            begins = max(arrives, start - EARLY_MIN)
            self.diary.idle_min += begins - arrives
            self.now, here = begins, order.place
            self._serve(order)
        self._home(here, depot)

    def _serve(self, order: Order) -> None:
        self.done.add(order.name)
        if order.is_no_go:
            self.now = self._after(NO_GO_MIN)
            self.again.append(_later(order, self.day + 3, is_no_go=False))
            return
        self.now = self._after(order.true_min * self.rough)
        self.diary.served += 1
        if order.is_broken:
            short = dict.fromkeys(("true_min", "p50_min", "p80_min", "by_area_min", "mean_min"), 60)
            self.again.append(_later(order, self.day + 4, is_broken=False, **short))

    def _home(self, here, depot) -> None:
        leg_min = self._leg(here, depot)
        self.diary.drive_min += leg_min
        end = self._after(leg_min)
        self.diary.crew_days += 1
        self.diary.ended_on_time += end <= SHIFT[1]
        self.diary.over_min += max(0.0, end - SHIFT[1])

    def _leg(self, here, there) -> float:
        return float(TRAVEL.minutes([here, there])[0, 1])

    def _after(self, minutes: float) -> float:
        """So many minutes later, lunch between."""
        end = self.now + minutes
        return end + LUNCH_MIN if self.now <= LUNCH_AT < end else end


def _later(order: Order, ready: int, **fields) -> Order:
    """The visit again, on any day from then on."""
    again = {"name": f"{order.name}r", "ready_on": ready, "due_on": ready + 3, "is_return": True}
    return replace(order, **again | {"windows": None} | fields)


HEAD = """
            on time days on overtime   drive  visits   moved    idle  served   late
                       time  min/day min/vis    /day         min/day           left"""


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--crews", type=int, nargs="*", default=[3, 10])
    asked.add_argument("--seeds", type=int, default=2)
    given = asked.parse_args()
    for crews in given.crews:
        for seed in range(given.seeds):
            month = Month(crews, seed)
            print(f"\n{crews} crews, seed {seed}, {len(month.orders)} orders, {DAYS} days")
            print(HEAD[1:])
            for planner in (Planner, Greedy, Spreadsheet):
                began_s = time.process_time()
                print(
                    live(month, planner(month)),
                    f"  {time.process_time() - began_s:.0f} s",
                    flush=True,
                )


if __name__ == "__main__":
    main()
