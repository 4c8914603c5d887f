"""All routes of a crew-day at once. It reckons in bulk what ``evaluate`` defines, and is tested so.

A crew-day rarely holds more than a handful of visits, so every set of visits that fits can be
listed, layer by layer: routes of one visit, of two, and so on. Of the routes with the same visits
and the same last one, only those stay that no other beats in both cost and time.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import evaluate
from crewjobs.domain.scheduling.board import Board

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

MOST_CANDIDATES = 62
"""A set of visits is the bits of one integer."""

NO_START = 10**6
"""A minute that no crew-day has."""

FAR = 10**11
"""More than any route costs, and small enough to be added up a million times."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Where the listing ends, so that one crew-day cannot eat the machine."""

    visits: int = 12
    """The longest route listed."""
    routes: int = 20_000
    """The most routes carried from a layer to the next; the dearest are let go."""


@dataclass(frozen=True, slots=True)
class Routes:
    """The cheapest route for each set of visits; `order` is padded with -1."""

    cost: Ints
    order: Ints


@dataclass(frozen=True, slots=True)
class _Candidates:
    """What one crew-day needs to know of the visits that it may get, one row or entry each."""

    number: Ints
    duration: Ints
    first: Ints
    """Starts of windows, padded with windows that never open."""
    last: Ints
    cost: Ints
    """Of late days, and of the move if published elsewhere."""
    waits: Ints
    """Later starts that are worth a wait, two a visit, -1 where there is none."""
    told: Ints
    """The published start on the clock, if it is on that day, else -1."""
    mass_kg: Floats
    thickness_mm: Floats
    out: Ints
    back: Ints
    between: Ints


@dataclass(frozen=True, slots=True)
class _Layer:
    """Partial routes of one length: the visits as bits and in order, now, cost so far, load."""

    bits: Ints
    order: Ints
    now: Ints
    cost: Ints
    mass_kg: Floats
    thickness_mm: Floats

    def at(self, rows: Ints) -> "_Layer":
        """Some of them."""
        return _Layer(
            self.bits[rows], self.order[rows], self.now[rows], self.cost[rows],
            self.mass_kg[rows], self.thickness_mm[rows],
        )  # fmt: skip


class Lister:
    """Lists routes of a board; what it has looked up once it keeps."""

    def __init__(self, board: Board, limits: Limits | None = None) -> None:
        self._board = board
        self._limits = limits or Limits()
        self._drive = np.array(board.drive, np.int64)
        self._facts: dict[tuple[int, int], tuple[int, int, int, int]] = {}

    def routes(self, crew_day: int, visits: Sequence[int]) -> Routes:
        """The cheapest route of every set of these visits that the crew-day can hold.

        All visits must fit the crew-day on their own. What lies beyond the limits is missing.

        Raises
        ------
        ValueError
            If there are more visits than one set can name.
        """
        if len(visits) > MOST_CANDIDATES:
            raise ValueError(f"{len(visits)} visits, the most is {MOST_CANDIDATES}")
        width, found = self._limits.visits, []
        candidates = self._candidates(crew_day, visits)
        layer = self._extended(crew_day, candidates, self._empty(crew_day))
        while len(layer.now):
            found.append(self._closed(crew_day, candidates, layer))
            if layer.order.shape[1] >= width:
                break
            layer = self._extended(crew_day, candidates, layer)
        return Routes(
            cost=np.concatenate([np.zeros(0, np.int64), *(routes.cost for routes in found)]),
            order=np.vstack([np.zeros((0, width), np.int64), *(_padded(r, width) for r in found)]),
        )

    def _candidates(self, crew_day: int, visits: Sequence[int]) -> _Candidates:
        board, number = self._board, np.array(visits, np.int64)
        who = [board.visits[i] for i in visits]
        site = np.array([board.site[i] for i in visits], np.int64)
        depot = board.depot[crew_day]
        windows = [board.windows(i, crew_day) for i in visits]
        most = max([1, *(len(spans) for spans in windows)])
        never = (NO_START, -1)
        table = np.array([[*w, *[never] * (most - len(w))] for w in windows], np.int64)
        table = table.reshape(-1, most, 2)
        facts = np.array([self._fact(crew_day, i) for i in visits], np.int64).reshape(-1, 4)
        return _Candidates(
            number=number,
            duration=np.array([visit.duration_min for visit in who], np.int64),
            first=table[:, :, 0],
            last=table[:, :, 1],
            cost=facts[:, 0],
            waits=facts[:, 1:3],
            told=facts[:, 3],
            mass_kg=np.array([visit.mass_kg for visit in who]),
            thickness_mm=np.array([visit.load_thickness_mm for visit in who]),
            out=self._drive[depot, site],
            back=self._drive[site, depot],
            between=self._drive[np.ix_(site, site)],
        )

    def _fact(self, crew_day: int, visit: int) -> tuple[int, int, int, int]:
        """The fixed cost of a visit on a crew-day, two starts worth a wait, its start as told."""
        key = crew_day, visit
        if key not in self._facts:
            board, promise = self._board, self._board.visits[visit].promise
            cost = evaluate.late_cost(board, visit, crew_day)
            cost += evaluate.away_cost(board, visit, crew_day)
            is_told = promise is not None and board.promised_start(visit, crew_day) is not None
            told = promise.start_min if promise is not None and is_told else None
            first, second = (*evaluate.worth_a_wait(board, visit, crew_day), -1, -1)[:2]
            self._facts[key] = cost, first, second, -1 if told is None else told
        return self._facts[key]

    def _empty(self, crew_day: int) -> _Layer:
        """The one route that has not left the depot yet."""
        none, zero = np.zeros(1, np.int64), np.zeros(1)
        start = np.array([self._board.shift_start[crew_day]], np.int64)
        return _Layer(none, np.zeros((1, 0), np.int64), start, none, zero, zero)

    def _extended(self, crew_day: int, candidates: _Candidates, layer: _Layer) -> _Layer:
        """All routes one visit longer, without those that another beats."""
        legs = _legs(candidates, layer)
        start = _first_starts(candidates, layer.now[:, None] + legs)
        is_in = (layer.bits[:, None] >> np.arange(len(candidates.number))) & 1
        start[(is_in == 1) | ~self._takes(crew_day, candidates, layer)] = NO_START
        later = [np.where(wait > start, wait, NO_START) for wait in candidates.waits.T]
        longest = self._board.latest_end[crew_day] - candidates.duration - candidates.back
        begins = np.stack([start, *later])
        way, row, visit = np.nonzero(begins <= longest)
        starts = begins[way, row, visit]
        longer = _Layer(
            bits=layer.bits[row] | (np.int64(1) << visit),
            order=np.hstack([layer.order[row], visit[:, None]]),
            now=starts + candidates.duration[visit],
            cost=layer.cost[row]
            + self._board.costs.drive * legs[row, visit]
            + candidates.cost[visit]
            + self._start_cost(crew_day, candidates.told[visit], starts),
            mass_kg=layer.mass_kg[row] + candidates.mass_kg[visit],
            thickness_mm=layer.thickness_mm[row] + candidates.thickness_mm[visit],
        )
        return self._capped(longer.at(_unbeaten(longer)))

    def _takes(self, crew_day: int, candidates: _Candidates, layer: _Layer) -> NDArray[np.bool_]:
        """Which visit the truck can take on top of which route."""
        at = self._board.crew_days[crew_day]
        mass_kg = layer.mass_kg[:, None] + candidates.mass_kg
        thickness_mm = layer.thickness_mm[:, None] + candidates.thickness_mm
        fits: NDArray[np.bool_] = (mass_kg <= at.payload_kg + evaluate.EPSILON) & (
            thickness_mm <= at.frame_thickness_mm + evaluate.EPSILON
        )
        return fits

    def _start_cost(self, crew_day: int, told: Ints, starts: Ints) -> Ints:
        """What it costs to start off the published minute of the same day."""
        pause, costs = self._board.crew_days[crew_day].pause, self._board.costs
        on_clock = starts
        if pause is not None:
            gap = pause.end_min - pause.start_min
            on_clock = starts + np.where(starts >= pause.start_min, gap, 0)
        is_off = (told >= 0) & (np.abs(on_clock - told) > costs.start_tolerance_min)
        return np.where(is_off, costs.moved_start, 0)

    def _capped(self, layer: _Layer) -> _Layer:
        if len(layer.now) <= self._limits.routes:
            return layer
        return layer.at(np.argsort(layer.cost + layer.now, kind="stable")[: self._limits.routes])

    def _closed(self, crew_day: int, candidates: _Candidates, layer: _Layer) -> Routes:
        """The way home added, the cheapest order kept for each set."""
        costs, back = self._board.costs, candidates.back[layer.order[:, -1]]
        overtime = np.maximum(0, layer.now + back - self._board.shift_end[crew_day])
        total = costs.crew_day + layer.cost + costs.drive * back + costs.overtime * overtime
        rows = np.lexsort((total, layer.bits))
        is_first = np.ones(len(rows), bool)
        is_first[1:] = layer.bits[rows][1:] != layer.bits[rows][:-1]
        best = rows[is_first]
        return Routes(cost=total[best], order=candidates.number[layer.order[best]])


def _padded(routes: Routes, width: int) -> Ints:
    spare = width - routes.order.shape[1]
    return np.pad(routes.order, ((0, 0), (0, spare)), constant_values=-1)


def _legs(candidates: _Candidates, layer: _Layer) -> Ints:
    """Minutes from the last stop of each route to each visit."""
    if layer.order.shape[1] == 0:
        return candidates.out[None, :]
    return candidates.between[layer.order[:, -1]]


def _first_starts(candidates: _Candidates, arrival: Ints) -> Ints:
    """The first allowed start in any window, NO_START if there is none."""
    start = np.full(arrival.shape, NO_START, np.int64)
    for first, last in zip(candidates.first.T, candidates.last.T, strict=True):
        opens = np.where(arrival <= last, np.maximum(arrival, first), NO_START)
        np.minimum(start, opens, out=start)
    return start


def _unbeaten(layer: _Layer) -> Ints:
    """The routes that none with the same visits and the same last one beats in cost and time."""
    last = layer.order[:, -1]
    rows = np.lexsort((layer.cost, layer.now, last, layer.bits))
    is_new = np.ones(len(rows), bool)
    is_new[1:] = (np.diff(layer.bits[rows]) != 0) | (np.diff(last[rows]) != 0)
    # Each group lies far below the one before, so one running minimum serves all of them.
    value = layer.cost[rows] - np.cumsum(is_new) * FAR
    is_kept = np.ones(len(rows), bool)
    is_kept[1:] = value[1:] < np.minimum.accumulate(value)[:-1]
    return rows[is_kept]
