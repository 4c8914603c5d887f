"""How long a strip goes through a side door into a bounded room: a search where no formula is near.

Sound: what it says to pass, passes. Turn and place along the hall are cut into cells, and in each
the strip is grown by all that it could move there; across, its free stretches are exact. It knows
boxes seen from above; refuses to know heights, and costs seconds, so that it is done beforehand.

::

    +-----------------+  room
    |                 |
    +--+   +----------+  y = hall + wall
    |  |   |             y = hall: the jambs stand at x = 0 and x = door
    ------ +             the hall ends at the far jamb
"""

from dataclasses import dataclass
from hashlib import sha256
from math import inf, pi

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ids = NDArray[np.int64]
Pose = tuple[float, float, float]
"""x and y of the middle in millimetres, turn in radians."""
VERSION = 1
"""Of the search: another one finds other lengths."""
STEP_MM = 10.0
"""Along the hall, of one cell."""
TURN_RAD = pi / 720
"""Of one cell."""
FIRST_RAD, LAST_RAD = -pi / 18, pi * 10 / 18
"""Nobody turns a strip the long way round here."""
EXACT_MM = 10.0
"""How near the answer is to the longest that the search would find."""
FREE = 6
"""A line across meets at most five boxes."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SideRoom:
    """A side door, the hall before it and the room behind it."""

    hall_mm: float
    run_mm: float
    """Straight hall before the far jamb."""
    door_mm: float
    wall_mm: float
    room_mm: float
    """Free depth of the room."""
    beyond_mm: float
    """Free wall in the room beyond the far jamb; before the near one it begins at the jamb."""

    @property
    def top_mm(self) -> float:
        """Where the room begins."""
        return self.hall_mm + self.wall_mm

    def boxes(self) -> list[tuple[float, float, float, float]]:
        """Left, right, low and high of all that stands in the way."""
        door, top = self.door_mm, self.top_mm
        return [
            (-inf, inf, -inf, 0.0),
            (-inf, 0.0, self.hall_mm, inf),
            (door, inf, -inf, top),
            (door + self.beyond_mm, inf, -inf, inf),
            (-inf, inf, top + self.room_mm, inf),
        ]

    def fingerprint(self, wide_mm: float) -> str:
        """The same for the same search."""
        told = (VERSION, self.hall_mm, self.run_mm, self.door_mm, self.wall_mm, self.room_mm,
                self.beyond_mm, wide_mm)  # fmt: skip
        return sha256(repr(tuple(float(each) for each in told)).encode()).hexdigest()


def longest_mm(room: SideRoom, wide_mm: float) -> float:
    """The longest strip that the search brings into the room, 0 where it finds none.

    Examples
    --------
    >>> room = SideRoom(hall_mm=914, run_mm=4000, door_mm=813, wall_mm=120, room_mm=2500,
    ...                 beyond_mm=2500)
    >>> longest_mm(room, 110) > 2300
    True
    """
    least = 0.0
    most = min(room.run_mm, float(np.hypot(room.door_mm + room.beyond_mm, room.room_mm)))
    while most - least > EXACT_MM:
        middle = (least + most) / 2
        if way(room, middle, wide_mm):
            least = middle
        else:
            most = middle
    return least


def way(room: SideRoom, long_mm: float, wide_mm: float) -> list[Pose]:
    """Poses from the hall into the room, each a small move after the other; empty if none is found.

    Examples
    --------
    >>> room = SideRoom(hall_mm=914, run_mm=4000, door_mm=813, wall_mm=120, room_mm=2500,
    ...                 beyond_mm=2500)
    >>> len(way(room, 2000, 110)) > 10, way(room, 3900, 110)
    (True, [])
    """
    if wide_mm >= min(room.hall_mm, room.door_mm) or long_mm > room.run_mm:
        return []
    return _Cells(room, long_mm, wide_mm).way()


class _Cells:
    """Free stretches across, by turn and place along: what a strip may do without touching."""

    def __init__(self, room: SideRoom, long_mm: float, wide_mm: float) -> None:
        self.room, self.half = room, (long_mm / 2, wide_mm / 2)
        turns = np.arange(FIRST_RAD + TURN_RAD / 2, LAST_RAD, TURN_RAD)
        left = -long_mm / 2 - 2 * STEP_MM
        self.turns = turns[:, None]
        self.places = np.arange(left, room.door_mm + room.beyond_mm, STEP_MM)[None, :]
        self.low, self.high = self._free()
        self.came_from = np.full(self.low.size, -1, dtype=np.int64)

    def _free(self) -> tuple[Array, Array]:
        """Lower and upper ends of the free stretches; where there is none the ends are crossed."""
        along, across = self._grown()
        blocked = [self._blocked(box, along, across) for box in self.room.boxes()]
        low, high = (np.stack(ends, axis=-1) for ends in zip(*blocked, strict=True))
        order = np.argsort(low, axis=-1)
        low, high = (np.take_along_axis(ends, order, -1) for ends in (low, high))
        reached = np.maximum.accumulate(high, axis=-1)
        edge = np.full((*low.shape[:2], 1), inf)
        return np.concatenate([-edge, reached], -1), np.concatenate([low, edge], -1)

    def _grown(self) -> tuple[float, float]:
        """Half the strip's length and width with all that it moves while it turns in a cell."""
        grow = float(np.sin(TURN_RAD / 2))
        return self.half[0] + self.half[1] * grow, self.half[1] + self.half[0] * grow

    def _blocked(
        self, box: tuple[float, float, float, float], along_mm: float, across_mm: float
    ) -> tuple[Array, Array]:
        """The middles at which the strip touches a box somewhere in a cell, from and to."""
        left, right, low, high = box
        first = left - (self.places + STEP_MM / 2)
        last = right - (self.places - STEP_MM / 2)
        above = self._above(first, last, along_mm, across_mm)
        below = self._above(-last, -first, along_mm, across_mm)
        hits = np.isfinite(above)
        start = low - np.where(hits, above, 0.0)
        end = high + np.where(hits, below, 0.0)
        return np.where(hits, start, inf), np.where(hits, end, -inf)

    def _above(self, first: Array, last: Array, along_mm: float, across_mm: float) -> Array:
        """How far the strip reaches above its middle, over some stretch beside it; -inf: not there.

        Its upper edge falls on both sides of its highest corner.
        """
        cos, sin = np.cos(self.turns), np.sin(self.turns)
        reach = along_mm * abs(cos) + across_mm * abs(sin)
        top = np.sign(sin) * np.sign(cos) * (along_mm * abs(cos) - across_mm * abs(sin))
        at = np.clip(top, np.maximum(first, -reach), np.minimum(last, reach))
        by_end = (along_mm - np.sign(sin) * at * cos) / abs(sin)
        by_side = (across_mm + np.sign(cos) * at * sin) / abs(cos)
        is_there = (first <= reach) & (last >= -reach)
        return np.where(is_there, np.minimum(by_end, by_side), -inf)

    def way(self) -> list[Pose]:
        """A shortest chain of cells from the hall into the room."""
        shape = self.low.shape
        start = self._start()
        if start is None:
            return []
        lowest, highest = self._inside()
        goals = (lowest < highest).ravel()
        self.came_from[start] = start
        front = np.array([start])
        while front.size:
            if (there := front[goals[front]]).size:
                last = int(there[0])
                rests_at = (lowest.flat[last] + highest.flat[last]) / 2
                return [*self._poses(last), self._middle(last, rests_at)]
            front = self._next(front, shape)
        return []

    def _start(self) -> int | None:
        """The cell of a strip that lies in the hall, along it, with its tip at the near jamb."""
        turn = int(np.argmin(abs(self.turns[:, 0])))
        middle = self.room.hall_mm / 2
        is_free = (self.low[turn, 0] < middle) & (middle < self.high[turn, 0])
        if not is_free.any():
            return None
        return int(np.ravel_multi_index((turn, 0, int(np.argmax(is_free))), self.low.shape))

    def _inside(self) -> tuple[Array, Array]:
        """From where to where across a strip lies wholly in the room; crossed where it cannot."""
        long, wide = self.half
        tall = (long * abs(np.sin(self.turns)) + wide * abs(np.cos(self.turns)))[..., None]
        broad = (long * abs(np.cos(self.turns)) + wide * abs(np.sin(self.turns)))[..., None]
        at = self.places[..., None]
        inside = (at - broad >= 0) & (at + broad <= self.room.door_mm + self.room.beyond_mm)
        highest = np.minimum(self.high, self.room.top_mm + self.room.room_mm - tall)
        lowest = np.maximum(self.low, self.room.top_mm + tall)
        return np.where(inside, lowest, inf), highest

    def _next(self, front: Ids, shape: tuple[int, ...]) -> Ids:
        """The cells beside these that were not reached before and share a free stretch with one."""
        low, high = self.low.ravel(), self.high.ravel()
        turn, place, _ = np.unravel_index(front, shape)
        found = []
        for by_turn, by_place in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            t, p = turn + by_turn, place + by_place
            is_there = (t >= 0) & (t < shape[0]) & (p >= 0) & (p < shape[1])
            here = front[is_there]
            first = (t[is_there] * shape[1] + p[is_there]) * shape[2]
            for free in range(FREE):
                beside = first + free
                joined = np.maximum(low[here], low[beside]) < np.minimum(high[here], high[beside])
                new = joined & (self.came_from[beside] < 0)
                self.came_from[beside[new]] = here[new]
                found.append(beside[new])
        return np.unique(np.concatenate(found))

    def _poses(self, cell: int) -> list[Pose]:
        """The chain to a cell: across, each move is made where both cells are free."""
        cells = [cell]
        while self.came_from[cells[-1]] != cells[-1]:
            cells.append(int(self.came_from[cells[-1]]))
        return [pose for here, there in zip(cells[:0:-1], cells[-2::-1], strict=True)
                for pose in self._move(here, there)]  # fmt: skip

    def _move(self, here: int, there: int) -> list[Pose]:
        low = max(self.low.flat[here], self.low.flat[there], -1e5)
        high = min(self.high.flat[here], self.high.flat[there], 1e5)
        shared = (low + high) / 2
        return [self._middle(here, shared), self._middle(there, shared)]

    def _middle(self, cell: int, across_mm: float) -> Pose:
        turn, place, _ = np.unravel_index(cell, self.low.shape)
        return float(self.places[0, place]), across_mm, float(self.turns[turn, 0])
