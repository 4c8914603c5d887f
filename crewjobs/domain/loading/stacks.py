"""What a way of leaning pieces on two sides costs, broken rules among it.

A stack is a sequence of places in the list of items, innermost first. A broken rule costs more than
anything else together, so that the cheapest plan breaks none where one can be kept.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.loading.frames import Costs, Frame, Item

Array = NDArray[np.float64]
Stack = Sequence[int]

BROKEN_MIN = 1e5
"""For each broken rule."""
BACKED_SHARE = 0.5
"""A piece leans on one that reaches this far up its height. By statics: what is held below its
centre of gravity slides out at its foot."""


class Stacks:
    """The items of a day and every cost between them, computed once."""

    def __init__(self, items: Sequence[Item], frame: Frame, costs: Costs) -> None:
        self.items, self.frame, self.costs = tuple(items), frame, costs
        self.stops = stops = sorted({item.stop for item in items})
        steps = sorted({(item.stop, item.order) for item in items})
        self.stop_of = [stops.index(item.stop) for item in items]
        self.step_of = [steps.index((item.stop, item.order)) for item in items]
        self.first_step_of = [min(s for s, step in enumerate(steps) if step[0] == item.stop)
                              for item in items]  # fmt: skip
        self.rehandle = [costs.rehandle_min + costs.rehandle_per_kg * i.mass_kg for i in items]
        self.thick = [item.thickness_mm + frame.pad_mm for item in items]
        self.mass = [item.mass_kg for item in items]
        self.on_board = np.array(
            [[m if s >= stage else 0.0 for m, s in zip(self.mass, self.stop_of, strict=True)]
             for stage in range(len(stops))]
        )  # fmt: skip
        self.over = np.array([[self.overhang_mm(j, i) for i in range(len(items) + 1)]
                              for j in range(len(items))])  # fmt: skip
        self.lean = costs.overhang_per_m * np.maximum(0, self.over - frame.free_overhang_mm) / 1000
        self.backed = np.array([[self._is_backed(j, i) for i in range(len(items) + 1)]
                                for j in range(len(items))], dtype=bool)  # fmt: skip
        """Which pieces reach far enough up another to stand behind it."""
        self.lean[self.over > frame.most_overhang_mm] += BROKEN_MIN
        self.lean[~self.backed] += BROKEN_MIN
        self._lean = self.lean.tolist()
        self._split_min: dict[int, float] = {}

    def overhang_mm(self, item: int, behind: int) -> float:
        """How far one reaches past the one behind, centred on it: at each end, and above.

        The frame itself is behind the first.
        """
        if behind == len(self.items):
            return 0.0
        this, that = self.items[item], self.items[behind]
        ends = max(0.0, this.length_mm - that.length_mm) / 2
        return ends + max(0.0, this.height_mm - that.height_mm)

    def _is_backed(self, item: int, behind: int) -> bool:
        if behind == len(self.items):
            return True
        this, that = self.items[item], self.items[behind]
        return that.height_mm >= BACKED_SHARE * this.height_mm - 1e-6

    def handling(self, item: int, stops: int, steps: int) -> tuple[int, bool]:
        """How often a piece is re-handled, and whether it is set aside.

        The stops and steps of all that stands behind it are given as bits.
        """
        again = (stops & ((1 << self.stop_of[item]) - 1)).bit_count()
        sooner = (1 << self.step_of[item]) - (1 << self.first_step_of[item])
        return again, bool(steps & sooner)

    def stack_min(self, stack: Stack) -> float:
        """What one side costs to lean and to take off."""
        cost, stops, steps, behind = 0.0, 0, 0, len(self.items)
        for item in stack:
            again, aside = self.handling(item, stops, steps)
            cost += self._lean[item][behind] + again * self.rehandle[item]
            cost += aside * self.costs.set_aside_min
            stops |= 1 << self.stop_of[item]
            steps |= 1 << self.step_of[item]
            behind = item
        return cost

    def sides_min(self, is_left: Array) -> Array:
        """What splits into two sides cost; a row of ones and zeros for each split."""
        frame, costs = self.frame, self.costs
        found = np.zeros(len(is_left))
        is_right = 1 - is_left
        for weights, most in ((self.thick, frame.depth_mm), (self.mass, frame.side_kg)):
            for side in (is_left, is_right):
                found += _beyond(side @ np.array(weights), most)
        for on_board in self.on_board:
            apart = abs((is_left - is_right) @ on_board)
            found += costs.imbalance_per_kg * np.maximum(0, apart - frame.free_imbalance_kg)
            found += _beyond(apart, frame.most_imbalance_kg)
        return found

    def total_min(self, left: Stack, right: Stack) -> float:
        """What a whole plan costs."""
        split = sum(1 << item for item in left)
        if split not in self._split_min:
            is_left = np.zeros((1, len(self.items)))
            is_left[0, list(left)] = 1
            self._split_min[split] = float(self.sides_min(is_left)[0])
        return self.stack_min(left) + self.stack_min(right) + self._split_min[split]


def _beyond(values: Array, limit: float) -> Array:
    """The cost of each value that lies above its limit: the more, the worse."""
    return np.where(values > limit + 1e-9, BROKEN_MIN + (values - limit), 0.0)
