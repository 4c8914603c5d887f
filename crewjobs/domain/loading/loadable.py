"""Whether a truck takes some pieces at all: a quick answer for whoever plans its day.

It looks for any way that breaks no rule, not for a good one. Up to 20 pieces the answer is exact;
beyond, a yes is a way that was found, a no that a short search found none.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.loading import annealing, checks
from crewjobs.domain.loading.frames import Costs, Frame, Item
from crewjobs.domain.loading.racks import shared
from crewjobs.domain.loading.stacks import Array, Stacks

Whole = NDArray[np.int64]
Truth = NDArray[np.bool_]
Sides = tuple[list[int], list[int]]
MOST_ITEMS = 20
"""2^20 sets take about a second."""
ITERATIONS = 24_000


def is_loadable(items: Sequence[Item], frame: Frame) -> bool:
    """Whether some way of loading breaks no rule that is known here.

    Examples
    --------
    >>> top = Item(name="A", length_mm=2400, height_mm=650, thickness_mm=30, mass_kg=112, stop=1)
    >>> is_loadable([top], Frame()), is_loadable([top], Frame(length_mm=2000))
    (True, False)
    """
    if sum(item.mass_kg for item in items) > frame.payload_kg + checks.EPSILON:
        return False
    items, _ = shared(items, frame)
    stops = sorted({item.stop for item in items})
    sizes = [
        (stops.index(i.stop), i.length_mm, i.height_mm, i.thickness_mm, i.mass_kg) for i in items
    ]
    return _is_loadable(tuple(sorted(sizes)), frame)


@lru_cache(maxsize=10_000)
def _is_loadable(sizes: tuple[tuple[int, float, float, float, float], ...], frame: Frame) -> bool:
    """The same by what alone decides, so that it is found again whatever the pieces are called."""
    items = [
        Item(name=str(n), stop=stop, length_mm=long, height_mm=high, thickness_mm=thick, mass_kg=kg)
        for n, (stop, long, high, thick, kg) in enumerate(sizes)
    ]
    stacks = Stacks(items, frame, Costs())
    if len(items) <= MOST_ITEMS:
        return any_way(stacks) is not None
    sides = annealing.search(stacks, seed=0, iterations=ITERATIONS)
    return not any(checks.broken(stacks, *sides))


def any_way(stacks: Stacks) -> Sides | None:
    """Both stacks of some way that breaks no rule, for up to 20 pieces; None if there is none.

    References
    ----------
    Which rules a way breaks is decided by its split, and by which piece leans on which: so for each
    set the pieces that may stand outermost are kept, as bits, and every split is looked at.
    """
    frame, everything = stacks.frame, (1 << len(stacks.items)) - 1
    if any(checks.of_pieces(stacks)):
        return None
    fits = _of_both(_sums(stacks.thick), frame.depth_mm) & _of_both(
        _sums(stacks.mass), frame.side_kg
    )
    for on_board in stacks.on_board:
        left = _sums(on_board)
        fits &= abs(left - left[::-1]) <= frame.most_imbalance_kg + checks.EPSILON
    if not fits.any():
        return None
    outermost = _outermost(stacks)
    fits &= (outermost != 0) & (outermost[::-1] != 0)
    if not fits.any():
        return None
    chosen = int(fits.argmax())
    return _unwound(chosen, outermost, stacks), _unwound(everything - chosen, outermost, stacks)


def _sums(weights: Sequence[float] | Array) -> Array:
    """Of every set of the items."""
    found = np.zeros(1)
    for weight in weights:
        found = np.concatenate((found, found + weight))
    return found


def _of_both(sums: Array, limit: float) -> Truth:
    """Whether a set and the rest of the items both stay within a limit."""
    fits: Truth = np.maximum(sums, sums[::-1]) <= limit + checks.EPSILON
    return fits


def _outermost(stacks: Stacks) -> Whole:
    """For each set the pieces that may stand outermost, as bits; of the empty set, all bits."""
    count = len(stacks.items)
    sets = np.arange(1 << count)
    sizes = np.bitwise_count(sets)
    found = np.zeros_like(sets)
    found[0] = -1
    leans = [_leans_on(stacks, item) for item in range(count)]
    for size in range(count):
        layer = sets[sizes == size]
        for item in range(count):
            behind = layer[(layer >> item) & 1 == 0]
            can = (found[behind] & leans[item]) != 0
            found[behind[can] | (1 << item)] |= 1 << item
    return found


def _leans_on(stacks: Stacks, item: int) -> int:
    """The pieces that one may lean on, as bits; the bit beyond them is the bare frame."""
    fits = stacks.over[item] <= stacks.frame.most_overhang_mm + checks.EPSILON
    return sum(1 << int(behind) for behind in np.flatnonzero(fits & stacks.backed[item]))


def _unwound(members: int, outermost: Whole, stacks: Stacks) -> list[int]:
    """A stack of these items, innermost first."""
    found: list[int] = []
    allowed = -1
    while members:
        can = int(outermost[members]) & allowed
        item = can.bit_length() - 1
        found.append(item)
        members, allowed = members & ~(1 << item), _leans_on(stacks, item)
    return found[::-1]
