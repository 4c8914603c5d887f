"""All routes of a crew-day at once. It reckons in bulk what ``evaluate`` defines, and is tested so.

A crew-day rarely holds more than a handful of visits, so every set of visits that fits can be
listed, layer by layer: routes of one visit, of two, and so on. Of the routes with the same visits
and the same last one, only those stay that no other beats in both cost and time. Given what each
visit would be worth, only those stay that can still end below a limit (``pricing``).
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import evaluate
from crewjobs.domain.scheduling.board import Board

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

WORD = 62
"""A set of visits is the bits of integers, so many in each."""

MIX = np.random.default_rng(0).integers(1, 2**62, 64) | 1
"""Odd numbers that make one sorting key of several words. Sets are told apart by the words."""

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
class Candidates:
    """What one crew-day needs to know of the visits that it may get, one row or entry each."""

    number: Ints
    duration: Ints
    first: Ints
    """Starts of windows, padded with windows that never open."""
    last: Ints
    cost: Ints
    """Of the visit on that crew-day, whatever the hour."""
    waits: Ints
    """Later starts that are worth a wait, two a visit, -1 where there is none."""
    told: Ints
    """The published start on the clock, if it is on that day, else -1."""
    start_price: Ints
    """What it costs to start off that."""
    mass_kg: Floats
    thickness_mm: Floats
    out: Ints
    back: Ints
    leave: Ints
    """The last minute at which the crew may set off home."""
    worth: Floats
    """What somebody gives for each visit; nothing unless a sieve asks."""
    between: Ints

    def at(self, rows: Ints) -> "Candidates":
        """Some of them."""
        between = self.between[np.ix_(rows, rows)]
        taken = {each.name: getattr(self, each.name)[rows] for each in fields(self)}
        return Candidates(**{**taken, "between": between})


@dataclass(frozen=True, slots=True)
class Layer:
    """Partial routes of one length: the visits as bits and in order, now, cost so far, load."""

    bits: Ints
    order: Ints
    now: Ints
    cost: Ints
    net: Floats
    """The cost less what the visits are worth."""
    mass_kg: Floats
    thickness_mm: Floats

    def at(self, rows: Ints) -> "Layer":
        """Some of them."""
        return Layer(*(getattr(self, name.name)[rows] for name in fields(self)))


class Sieve:
    """Says which partial routes are followed and which whole ones are listed; here: all."""

    def __init__(self, most: int, *, below_cost: float = np.inf, band_cost: float = np.inf) -> None:
        self.most = most
        self.below_cost = below_cost
        """Only routes with a net cost below this are wanted."""
        self._band_cost = band_cost
        """How far above the best one."""
        self.lost = np.inf
        """The least that a route which was let go for want of room might have come to."""

    def hopes(self, net: Floats, now: Ints, last: Ints) -> Floats:
        """The least net cost that partial routes can come to, or what ranks them."""
        del last
        return net + now

    def fewer(self, hopes: Floats) -> Ints:
        """The rows that are followed: of too many the most promising."""
        if len(hopes) <= self.most:
            return np.arange(len(hopes))
        rows = np.argsort(hopes, kind="stable")
        self.lost = min(self.lost, float(hopes[rows[self.most]]))
        return rows[: self.most]

    def listed(self, net: Floats) -> Ints:
        """The rows worth listing."""
        self.below_cost = min(self.below_cost, float(net.min(initial=np.inf)) + self._band_cost)
        return np.nonzero(net < self.below_cost)[0]


class Lister:
    """Lists routes of a board; what it has looked up once it keeps."""

    def __init__(self, board: Board, limits: Limits | None = None) -> None:
        self._board = board
        self._limits = limits or Limits()
        self._drive = np.array(board.drive, np.int64)
        self._known: dict[int, Candidates] = {}
        self._row: dict[int, Ints] = {}

    def routes(self, crew_day: int, visits: Sequence[int]) -> Routes:
        """The cheapest route of every set of these visits that the crew-day can hold.

        All visits must fit the crew-day on their own. What lies beyond the limits is missing.
        """
        candidates = self.candidates(crew_day)
        rows = self._row[crew_day][list(visits)]
        return self.sieved(crew_day, candidates.at(rows), Sieve(self._limits.routes))

    def sieved(self, crew_day: int, candidates: Candidates, sieve: Sieve) -> Routes:
        """The routes that a sieve leaves."""
        width, found = self._limits.visits, []
        layer = self._empty(crew_day, candidates)
        while len(layer.now) and layer.order.shape[1] < width:
            layer = self._extended(crew_day, candidates, layer, sieve)
            found.append(self._closed(crew_day, candidates, layer, sieve))
        return Routes(
            cost=np.concatenate([np.zeros(0, np.int64), *(routes.cost for routes in found)]),
            order=np.vstack(
                [
                    np.zeros((0, width), np.int64),
                    *(_padded(routes.order, width) for routes in found),
                ]
            ),
        )

    def candidates(self, crew_day: int) -> Candidates:
        """All visits that fit the crew-day on their own."""
        if crew_day not in self._known:
            board = self._board
            visits = [i for i in range(len(board.visits)) if evaluate.fits(board, i, crew_day)]
            row = np.full(len(board.visits), -1, np.int64)
            row[visits] = np.arange(len(visits))
            self._known[crew_day], self._row[crew_day] = self._looked_up(crew_day, visits), row
        return self._known[crew_day]

    def _looked_up(self, crew_day: int, visits: Sequence[int]) -> Candidates:
        board, who = self._board, [self._board.visits[i] for i in visits]
        site = np.array([board.site[i] for i in visits], np.int64)
        depot = board.depot[crew_day]
        windows = [board.windows(i, crew_day) for i in visits]
        most = max([1, *(len(spans) for spans in windows)])
        never = (NO_START, -1)
        table = np.array([[*w, *[never] * (most - len(w))] for w in windows], np.int64)
        table = table.reshape(-1, most, 2)
        facts = np.array([self._facts(crew_day, i) for i in visits], np.int64).reshape(-1, 4)
        back = self._drive[site, depot]
        return Candidates(
            number=np.array(visits, np.int64),
            duration=np.array([visit.duration_min for visit in who], np.int64),
            first=table[:, :, 0],
            last=table[:, :, 1],
            cost=facts[:, 0],
            waits=facts[:, 1:3],
            told=facts[:, 3],
            start_price=np.array([board.start_price(i, crew_day) for i in visits], np.int64),
            mass_kg=np.array([visit.mass_kg for visit in who]),
            thickness_mm=np.array([visit.load_thickness_mm for visit in who]),
            out=self._drive[depot, site],
            back=back,
            leave=board.leaves_by(crew_day, back),
            worth=np.zeros(len(visits)),
            between=self._drive[np.ix_(site, site)],
        )

    def _facts(self, crew_day: int, visit: int) -> tuple[int, int, int, int]:
        """The fixed cost of a visit on a crew-day, two starts worth a wait, its start as told."""
        board, promise = self._board, self._board.visits[visit].promise
        cost = evaluate.fixed_cost(board, visit, crew_day)
        is_told = promise is not None and board.promised_start(visit, crew_day) is not None
        told = promise.start_min if promise is not None and is_told else None
        first, second = (*evaluate.worth_a_wait(board, visit, crew_day), -1, -1)[:2]
        return cost, first, second, -1 if told is None else told

    def _empty(self, crew_day: int, candidates: Candidates) -> Layer:
        """The one route that has not left the depot yet."""
        words = max(1, -(-len(candidates.number) // WORD))
        none, zero = np.zeros(1, np.int64), np.zeros(1)
        start = np.array([self._board.shift_start[crew_day]], np.int64)
        bits, order = np.zeros((1, words), np.int64), np.zeros((1, 0), np.int64)
        return Layer(bits, order, start, none, zero, zero, zero)

    def _extended(self, crew_day: int, candidates: Candidates, layer: Layer, sieve: Sieve) -> Layer:
        """The routes one visit longer that the sieve and each other leave."""
        row, visit = np.nonzero(self._takes(crew_day, candidates, layer))
        leg = candidates.out[visit]
        if layer.order.shape[1]:
            leg = candidates.between[layer.order[row, -1], visit]
        row, visit, leg, start = self._started(crew_day, candidates, layer, (row, visit, leg))
        extra = self._board.costs.drive * leg + candidates.cost[visit]
        extra += self._start_cost(crew_day, candidates, visit, start)
        net, now = (
            layer.net[row] + extra - candidates.worth[visit],
            start + candidates.duration[visit],
        )
        hopes = sieve.hopes(net, now, visit)
        kept = np.nonzero(hopes < sieve.below_cost)[0]
        longer = _longer(candidates, layer, row[kept], visit[kept])
        longer = replace(longer, now=now[kept], net=net[kept], cost=longer.cost + extra[kept])
        unbeaten = _unbeaten(longer)
        return longer.at(unbeaten[sieve.fewer(hopes[kept][unbeaten])])

    def _takes(self, crew_day: int, candidates: Candidates, layer: Layer) -> NDArray[np.bool_]:
        """Which visit can go on top of which route, as far as is seen without the windows."""
        at = self._board.crew_days[crew_day]
        kg, mm = at.payload_kg + evaluate.EPSILON, at.frame_thickness_mm + evaluate.EPSILON
        fits: NDArray[np.bool_] = layer.mass_kg[:, None] <= kg - candidates.mass_kg
        fits &= layer.thickness_mm[:, None] <= mm - candidates.thickness_mm
        fits &= layer.now[:, None] <= candidates.leave - candidates.duration
        np.put_along_axis(fits, layer.order, False, axis=1)
        return fits

    def _started(
        self,
        crew_day: int,
        candidates: Candidates,
        layer: Layer,
        pairs: tuple[Ints, Ints, Ints],
    ) -> tuple[Ints, Ints, Ints, Ints]:
        """Route, visit, drive and start of all that end in time, with starts worth a wait."""
        row, visit, leg = pairs
        start = first_starts(candidates, visit, self._board.arrivals(crew_day, layer.now[row], leg))
        if np.any(candidates.waits >= 0):
            wait = candidates.waits[visit].T
            way, later = np.nonzero(wait > start)
            row, visit, leg = (np.concatenate([each, each[later]]) for each in (row, visit, leg))
            start = np.concatenate([start, wait[way, later]])
        kept = np.nonzero(start <= (candidates.leave - candidates.duration)[visit])[0]
        return row[kept], visit[kept], leg[kept], start[kept]

    def _start_cost(self, crew_day: int, candidates: Candidates, visit: Ints, starts: Ints) -> Ints:
        """What it costs to start off the published minute of the same day."""
        told = candidates.told[visit]
        pause, costs = self._board.crew_days[crew_day].pause, self._board.costs
        on_clock = starts
        if pause is not None:
            gap = pause.end_min - pause.start_min
            on_clock = starts + np.where(starts >= pause.start_min, gap, 0)
        is_off = (told >= 0) & (np.abs(on_clock - told) > costs.start_tolerance_min)
        return np.where(is_off, candidates.start_price[visit], 0)

    def _closed(self, crew_day: int, candidates: Candidates, layer: Layer, sieve: Sieve) -> Routes:
        """The way home added, the cheapest order kept for each set that the sieve leaves."""
        costs, back = self._board.costs, candidates.back[layer.order[:, -1]]
        home = self._board.arrivals(crew_day, layer.now, back)
        overtime = np.maximum(0, home - self._board.shift_end[crew_day])
        extra = costs.crew_day + costs.drive * back + costs.overtime * overtime
        kept = sieve.listed(layer.net + extra)
        total, bits = (layer.cost + extra)[kept], layer.bits[kept]
        rows = np.lexsort((total, _key(bits)))
        best = rows[_is_new(bits[rows])]
        return Routes(total[best], candidates.number[layer.order[kept[best]]])


def _longer(candidates: Candidates, layer: Layer, row: Ints, visit: Ints) -> Layer:
    """Some routes with one visit more; now and cost are still the old ones."""
    bits = layer.bits[row]
    bits[np.arange(len(row)), visit // WORD] |= np.int64(1) << (visit % WORD)
    return Layer(
        bits=bits,
        order=np.hstack([layer.order[row], visit[:, None]]),
        now=layer.now[row],
        cost=layer.cost[row],
        net=layer.net[row],
        mass_kg=layer.mass_kg[row] + candidates.mass_kg[visit],
        thickness_mm=layer.thickness_mm[row] + candidates.thickness_mm[visit],
    )


def _padded(order: Ints, width: int) -> Ints:
    return np.pad(order, ((0, 0), (0, width - order.shape[1])), constant_values=-1)


def first_starts(candidates: Candidates, visit: Ints, arrival: Ints) -> Ints:
    """The first allowed start in any window, NO_START if there is none."""
    start = np.full(visit.shape, NO_START, np.int64)
    for first, last in zip(candidates.first.T, candidates.last.T, strict=True):
        opens = np.maximum(arrival, first[visit])
        np.minimum(start, opens, out=start, where=arrival <= last[visit])
    return start


def _key(bits: Ints) -> Ints:
    """One number for each set, hardly ever the same for two."""
    if bits.shape[1] == 1:
        return bits[:, 0]
    mixed: Ints = (bits * MIX[: bits.shape[1]]).sum(axis=1)
    return mixed


def _is_new(bits: Ints) -> NDArray[np.bool_]:
    """Whether the set differs from that in the row before."""
    is_new = np.ones(len(bits), bool)
    is_new[1:] = (bits[1:] != bits[:-1]).any(axis=1)
    return is_new


def _unbeaten(layer: Layer) -> Ints:
    """The routes that none with the same visits and the same last one beats in cost and time."""
    last = layer.order[:, -1]
    rows = np.lexsort((layer.now * FAR + layer.cost, _key(layer.bits) + MIX[-1] * last))
    is_new = _is_new(layer.bits[rows])
    is_new[1:] |= np.diff(last[rows]) != 0
    # Each group lies far below the one before, so one running minimum serves all of them.
    value = layer.cost[rows] - np.cumsum(is_new) * FAR
    is_kept = np.ones(len(rows), bool)
    is_kept[1:] = value[1:] < np.minimum.accumulate(value)[:-1]
    return rows[is_kept]
