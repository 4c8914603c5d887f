"""A month of an invented shop that no planner knows beforehand: orders, true hours, bad luck.

Everything by chance is drawn once for a seed, so that whoever plans lives through the same month.
"""

import math
import random
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.hours import estimate, fit
from crewjobs.domain.pieces import mass_kg
from crewjobs.domain.scheduling import CrewDay, GreatCircle, Place, Window
from tests.bench.crew_boards import KM_A_DEG
from tests.bench.hours import CARRIER_KG, finished
from tests.bench.rivals import square_foot
from tests.bench.shops import Job, Shop

MONDAY = date(2030, 1, 7)
DAYS = 20
"""Of work; the month's orders come on these and the two weeks before."""
BEFORE = 10
LEARNED = 150
"""Finished jobs that everybody has learned from."""
OPEN_MIN = 510
"""Of a shift, lunch taken out."""
SHIFT = (480, 1020)
LUNCH_AT, LUNCH_MIN = 720, 30
LOAD_SHARE = 0.85
"""What the orders ask, with a drive each, of what the crews can, by the true hours."""
DRIVE_MIN = 26
SICK_SHARE, NO_GO_SHARE, BROKEN_SHARE, WEATHER_SHARE = 0.02, 0.03, 0.01, 0.05
NO_GO_MIN = 20
PAYLOAD_KG = 1800
TRAVEL = GreatCircle(circuity_factor=1.3, speed_kmh=50.0, fixed_min=4)


@dataclass(frozen=True, kw_only=True)
class Order:
    """A visit somebody ordered: what is known of it, and what nobody knows."""

    name: str
    known_on: int
    """The working day on which the shop hears of it."""
    place: Place
    hands: int
    mass_kg: float
    longest_mm: float
    thickness_mm: float
    p50_min: float
    p80_min: float
    by_area_min: float
    mean_min: float
    ready_on: int
    due_on: int
    windows: tuple[tuple[int, int, int], ...] | None
    """Working day, first and last minute to begin."""
    true_min: float
    is_no_go: bool
    is_broken: bool
    traffic: float
    is_return: bool = False

    def window_on(self, day: int) -> tuple[int, int] | None:
        """When it may begin on a day; None if not at all."""
        if day < self.ready_on:
            return None
        if self.windows is None:
            return SHIFT[0], SHIFT[1]
        return next(((low, high) for on, low, high in self.windows if on == day), None)


@dataclass(frozen=True)
class Month:
    """The crews, the orders in the order of their coming, and who is sick when."""

    crews: int
    seed: int
    hands: list[int] = field(init=False)
    orders: list[Order] = field(init=False)
    sick: set[tuple[int, int]] = field(init=False)
    """Crew and working day."""
    rough: list[float] = field(init=False)
    """By what the hours of a working day are longer, the weather for all alike."""

    def __post_init__(self) -> None:
        rng = random.Random(f"month {self.crews} {self.seed}")
        hands = [
            (4, 3)[n] if n < 2 else rng.choices([2, 3], [0.6, 0.4])[0] for n in range(self.crews)
        ]
        object.__setattr__(self, "hands", hands)
        object.__setattr__(self, "orders", list(_Orders(self, rng).all()))
        crew_days = ((crew, day) for crew in range(self.crews) for day in range(DAYS))
        sick = {each for each in crew_days if rng.random() < SICK_SHARE}
        object.__setattr__(self, "sick", sick)
        rough = [1.15 if rng.random() < WEATHER_SHARE else 1.0 for _ in range(DAYS)]
        object.__setattr__(self, "rough", rough)

    def crew_day(self, crew: int, day: int) -> CrewDay:
        """A crew on a working day."""
        return CrewDay(
            crew=f"{crew:03}",
            day=on(day),
            depot=_at(self.side_km / 2, self.side_km / 2),
            hands=self.hands[crew],
            shift_start_min=SHIFT[0],
            shift_end_min=SHIFT[1],
            max_overtime_min=0,
            payload_kg=PAYLOAD_KG,
        )

    @property
    def side_km(self) -> float:
        """Of the square in which the sites lie."""
        return 30 + 10 * math.sqrt(self.crews)


def on(day: int) -> date:
    """The date of a working day."""
    weeks, rest = divmod(day, 5)
    return MONDAY + timedelta(days=7 * weeks + rest)


def day_of(when: date) -> int:
    """The working day of a date."""
    weeks, rest = divmod((when - MONDAY).days, 7)
    return 5 * weeks + rest


def _at(x_km: float, y_km: float) -> Place:
    return Place(at_lat=y_km / KM_A_DEG, at_lon=x_km / KM_A_DEG)


class _Orders:
    """Draws the orders of a month from a shop whose pace is hidden."""

    def __init__(self, month: Month, rng: random.Random) -> None:
        self.month, self.rng = month, rng
        self.shop = Shop(month.seed)
        past = [self.shop.job(number) for number in range(LEARNED)]
        true = [float(self.shop.true_min(job)[0]) for job in past]
        self.past = past
        self.told = np.array([self.shop.clock_min(minutes)[0] for minutes in true])
        records = [finished(job, told) for job, told in zip(past, self.told, strict=True)]
        self.model = fit(records, standard={}, carrier_kg=CARRIER_KG)
        side = month.side_km
        self.towns = [
            (rng.uniform(0, side), rng.uniform(0, side), rng.uniform(2, 5)) for _ in range(8)
        ]

    def all(self):
        """As many orders as fill the shop to the load, spread evenly over their days."""
        room_min = LOAD_SHARE * OPEN_MIN * self.month.crews * (DAYS + 3)
        jobs: list[tuple[Job, float]] = []
        asked_min = 0.0
        while asked_min < room_min:
            job = self.shop.job(LEARNED + len(jobs))
            true = float(self.shop.true_min(job)[0])
            if true + 60 < OPEN_MIN and self._can(job):
                jobs.append((job, true))
                asked_min += true + DRIVE_MIN
        known = sorted(self.rng.randrange(-BEFORE, DAYS - 3) for _ in jobs)
        by_area = square_foot(self.past, self.told, [job for job, _ in jobs])[0]
        for number, ((job, true), day) in enumerate(zip(jobs, known, strict=True)):
            yield self._order(number, job, true, day, float(by_area[number]))

    def _can(self, job: Job) -> bool:
        longest = max(max(p.length_mm, p.depth_mm) for p in job.work.pieces)
        return job.team.hands <= max(self.month.hands) and longest <= 3200

    def _order(self, number: int, job: Job, true: float, day: int, by_area_min: float) -> Order:
        rng, side = self.rng, self.month.side_km
        x, y, wide = rng.choice(self.towns)
        ready = max(0, day + rng.randint(2, 6))
        hours = estimate(VisitKind.INSTALL, job.work, job.team, model=self.model)
        return Order(
            name=f"{number:04}",
            known_on=day,
            place=_at(*(min(side, max(0, rng.gauss(middle, wide))) for middle in (x, y))),
            hands=job.team.hands,
            mass_kg=sum(map(mass_kg, job.work.pieces)),
            longest_mm=max(max(p.length_mm, p.depth_mm) for p in job.work.pieces),
            thickness_mm=sum(p.thickness_mm + 10 for p in job.work.pieces),
            p50_min=hours.p50_min,
            p80_min=hours.p80_min,
            by_area_min=by_area_min,
            mean_min=float(np.mean(self.shop.true_min(job, 30))),
            ready_on=ready,
            due_on=ready + rng.randint(3, 8),
            windows=self._windows(ready),
            true_min=true,
            is_no_go=rng.random() < NO_GO_SHARE,
            is_broken=rng.random() < BROKEN_SHARE,
            traffic=rng.uniform(0.9, 1.25),
        )

    def _windows(self, ready: int) -> tuple[tuple[int, int, int], ...] | None:
        """Any time for half of them; some half days for a third; one hour of choice for others."""
        chance, rng = self.rng.random(), self.rng
        span = range(ready, ready + 8)
        if chance < 0.5:
            return None
        if chance < 0.85:
            days = sorted(rng.sample(span, rng.randint(3, 5)))
            return tuple((day, *rng.choice([(480, 960), (480, 690), (780, 930)])) for day in days)
        start = rng.choice([480, 540, 600, 780, 840])
        return tuple((day, start, start + 120) for day in sorted(rng.sample(span, 3)))


def windows_of(order: Order, days: range) -> tuple[Window, ...] | None:
    """Its windows as the planner is told of them."""
    if order.windows is None:
        return None
    return tuple(
        Window(day=on(day), earliest_min=low, latest_min=high)
        for day, low, high in order.windows
        if day in days
    )
