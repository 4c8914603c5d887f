"""What becomes of a plan when visits take as long as they take: chances, and how much to allow.

A visit's minutes are drawn from the log-normal distribution that has its P50 and its P80; a visit
that has none takes what is planned. Crews keep their order, begin as soon as they are there and
may, and never call anything off. Visits are drawn one by one: a bad day for all is not foreseen,
and a crew that lends a hand is not waited for.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import log
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.facts import at_least
from crewjobs.domain.scheduling.board import FOREVER, Board, Span, worked
from crewjobs.domain.scheduling.problem import Placed, Problem, Schedule

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

DRAWS = 1_000
"""Enough that a chance of 80 % is off by 1.3 points, one standard error."""

P80_DEVIATES = NormalDist().inv_cdf(0.8)
"""How many standard deviations the P80 of a normal distribution lies above its middle."""

CLOSE_SHARE = 0.001
"""How close the planning share is looked for."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Hours:
    """How long a visit may take: in half of all cases no longer, in four of five no longer."""

    p50_min: float
    p80_min: float

    def __post_init__(self) -> None:
        at_least("p50_min", self.p50_min, 0)
        at_least("p80_min", self.p80_min, self.p50_min)

    def planned_min(self, share: float) -> float:
        """The minutes to plan: 0 is the P50, 1 the P80."""
        return self.p50_min + share * (self.p80_min - self.p50_min)

    def drawn_min(self, deviates: Floats) -> Floats:
        """Its minutes for standard normal deviates.

        Examples
        --------
        >>> Hours(p50_min=100, p80_min=150).drawn_min(np.array([0.0, P80_DEVIATES])).round(6)
        array([100., 150.])
        """
        if self.p50_min <= 0:
            return np.full(deviates.shape, float(self.p80_min))
        spread = log(self.p80_min / self.p50_min) / P80_DEVIATES
        drawn: Floats = self.p50_min * np.exp(spread * deviates)
        return drawn


@dataclass(frozen=True, kw_only=True, slots=True)
class StopChance:
    """How likely a visit begins within the window that it was planned in."""

    visit: str
    in_window_share: float
    start_p80_min: int
    """On four of five such days it has begun by then, in worked minutes."""


@dataclass(frozen=True, kw_only=True, slots=True)
class DayChance:
    """How likely a crew is home in time; minutes are worked minutes, breaks cut out."""

    crew: str
    day: date
    planned_end_min: int
    end_p50_min: int
    end_p80_min: int
    in_shift_share: float
    """Home by the end of the shift."""
    in_limit_share: float
    """Home within the overtime that the crew may do."""
    stops: tuple[StopChance, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanningShare:
    """How much of the way from P50 to P80 to plan, and what it was to reach and reaches."""

    share: float
    wanted_share: float
    """Of full days that end on time: as asked for."""
    simulated_share: float
    """As simulated, with other draws than those by which the share was found."""
    planned_at_p80_share: float
    """What planning every visit at its P80 would reach."""


def chances(
    problem: Problem, schedule: Schedule, *, seed: int, draws: int = DRAWS
) -> tuple[DayChance, ...]:
    """The chances of each crew-day of a plan; the same seed gives the same."""
    board = Board(problem)
    tours = defaultdict[int, list[Placed]](list)
    for stop in sorted(schedule.placed, key=lambda s: (s.day, s.crew, s.start_min)):
        tours[board.crew_day_number[stop.crew, stop.day]].append(stop)
    return tuple(
        _day(
            board,
            k,
            tours[k],
            np.random.default_rng((seed, k)).standard_normal((draws, len(tours[k]))),
        )
        for k in sorted(tours, key=lambda k: (board.day[k], board.crew_days[k].crew))
    )


def _day(board: Board, crew_day: int, stops: Sequence[Placed], deviates: Floats) -> DayChance:
    """One crew-day, a row of deviates for each time it is lived through."""
    at, here = board.crew_days[crew_day], board.depot[crew_day]
    now = np.full(len(deviates), board.shift_start[crew_day], np.int64)
    chances = []
    for stop, column in zip(stops, deviates.T, strict=True):
        visit = board.visit_number[stop.visit]
        leg = np.full(len(now), board.drive[here][board.site[visit]], np.int64)
        first, last = _open(board, visit, crew_day, stop)
        start = np.maximum(board.arrivals(crew_day, now, leg), first)
        chances.append(
            StopChance(
                visit=stop.visit,
                in_window_share=float(np.mean(start <= last)),
                start_p80_min=_quantile(start, 0.8),
            )
        )
        now, here = start + _length_min(board, visit, column), board.site[visit]
    back = np.full(len(now), board.drive[here][board.depot[crew_day]], np.int64)
    home = board.arrivals(crew_day, now, back)
    return DayChance(
        crew=at.crew,
        day=at.day,
        planned_end_min=board.arrives(crew_day, worked(at, stops[-1].end_min), int(back[0])),
        end_p50_min=_quantile(home, 0.5),
        end_p80_min=_quantile(home, 0.8),
        in_shift_share=float(np.mean(home <= board.shift_end[crew_day])),
        in_limit_share=float(np.mean(home <= board.latest_end[crew_day])),
        stops=tuple(chances),
    )


def _open(board: Board, visit: int, crew_day: int, stop: Placed) -> Span:
    """When the visit may begin, in worked minutes: its window, and as it was told."""
    who, at = board.visits[visit], board.crew_days[crew_day]
    start = worked(at, stop.start_min)
    first, last = next(
        (span for span in board.windows(visit, crew_day) if span[0] <= start <= span[1]),
        (start, start),
    )
    told = board.promised_start(visit, crew_day)
    if told is not None:
        first = max(first, min(start, told - board.costs.start_tolerance_min))
    return first, last if who.windows is not None else FOREVER


def _length_min(board: Board, visit: int, deviates: Floats) -> Ints:
    who = board.visits[visit]
    if not 0 < who.p50_min <= who.p80_min:
        return np.full(len(deviates), who.duration_min, np.int64)
    drawn = Hours(p50_min=who.p50_min, p80_min=who.p80_min).drawn_min(deviates)
    whole: Ints = np.ceil(drawn).astype(np.int64)
    return whole


def _quantile(minutes: Ints, share: float) -> int:
    return int(np.quantile(minutes, share, method="inverted_cdf"))


def planning_share(
    days: Sequence[Sequence[Hours]], *, wanted_share: float, seed: int, draws: int = DRAWS
) -> PlanningShare:
    """The smallest share at which the wanted part of days, planned full, ends on time.

    Each day is the visits that a crew has on it; full means that they leave no minute over. It is
    looked for by halving between 0 and 1, since more minutes never make a day late; where 1 does
    not reach what is wanted, it stays 1. On several visits some are short when others are long,
    so it lies well below what adding up each visit's own percentile would ask.
    """
    at_least("days", len(days), 1)
    found, other = (_Drawn(days, np.random.default_rng((seed, n)), draws) for n in (0, 1))
    low, high = 0.0, 1.0
    if found.on_time_share(low) >= wanted_share:
        high = low
    while high - low > CLOSE_SHARE:
        middle = (low + high) / 2
        if found.on_time_share(middle) >= wanted_share:
            high = middle
        else:
            low = middle
    return PlanningShare(
        share=high,
        wanted_share=wanted_share,
        simulated_share=other.on_time_share(high),
        planned_at_p80_share=other.on_time_share(1.0),
    )


class _Drawn:
    """Days lived through many times, to be held against what is planned."""

    def __init__(
        self, days: Sequence[Sequence[Hours]], rng: np.random.Generator, draws: int
    ) -> None:
        self._days = days
        self._sums_min = [
            np.sum([hours.drawn_min(rng.standard_normal(draws)) for hours in day], axis=0)
            for day in days
        ]

    def on_time_share(self, share: float) -> float:
        """The part of all days that take no longer than planned with this share."""
        planned = [sum(hours.planned_min(share) for hours in day) for day in self._days]
        rounding_min = 1e-9
        met = [
            np.mean(took <= most + rounding_min)
            for took, most in zip(self._sums_min, planned, strict=True)
        ]
        return float(np.mean(met))
