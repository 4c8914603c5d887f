"""How long a flat thing may be to turn, lie or slide somewhere: plane geometry, lengths in mm.

Knows rectangles, corridors, doorways and boxes, and errs only to the short side; refuses to know
what is carried or which side of a house it looks at.

::

    corridor b                    inner corner at a from one outer wall, at b from the other
    |        |                    x: angle between the piece and the first outer wall
    |        +-----------
    |      ////  corridor a
    +--------------------
"""

from collections.abc import Callable
from itertools import pairwise
from math import acos, asin, atan2, cos, hypot, inf, pi, radians, sin, sqrt, tan

GOLDEN_FACTOR = (sqrt(5) - 1) / 2
STEPS = 60
"""Of each search: the bracket shrinks to 3e-13 of itself."""
Quantity = float
"""Of any unit: a search does not know which."""
SHARPEST_DEG = 150.0
"""Not measured: a sharper turn is two turns."""


def corner_mm(first_mm: float, second_mm: float, wide_mm: float, *, turn_deg: float = 90) -> float:
    """The longest rectangle of this width that turns from one corridor into the other, in plan.

    Raises
    ------
    ValueError
        If the turn is not above 0 and at most 150 degrees.

    References
    ----------
    The rectangle slides along both outer walls. At an angle x it clears the inner corner if
    ``L <= (b sin x + a sin(B - x) - w sin B) / (sin(B - x) sin x)``. Beyond 90 degrees from a
    wall its inner end touches that wall first, which narrows the corridor by ``w |cos x|``. The
    smallest value over x is the answer. It is the only valley of each stretch searched: the
    clearance is a trigonometric polynomial of degree 2, below zero at x = pi, so that at most two
    of its zeros lie in the turn; past 90 degrees the limit is convex.

    Examples
    --------
    >>> round(corner_mm(1, 1, 0), 7), round(corner_mm(0.9, 1.2, 0.6), 6)
    (2.8284271, 1.747413)
    """
    if not 0 < turn_deg <= SHARPEST_DEG:
        raise ValueError(f"turn_deg is {turn_deg:g}, it must be above 0 and at most 150")
    if wide_mm >= min(first_mm, second_mm):
        return 0.0
    turn = radians(turn_deg)

    def longest_mm(x_rad: float) -> float:
        x, y = x_rad, turn - x_rad
        a = first_mm - wide_mm * max(0.0, -cos(x))
        b = second_mm - wide_mm * max(0.0, -cos(y))
        return (b * sin(x) + a * sin(y) - wide_mm * sin(turn)) / (sin(y) * sin(x))

    edges = sorted({0.0, turn} | ({turn - pi / 2, pi / 2} if turn > pi / 2 else set()))
    return max(0.0, min(_valley(longest_mm, a, b) for a, b in pairwise(edges)))


def _valley(value: Callable[[float], float], low: Quantity, high: Quantity) -> Quantity:
    """The least value of a function that falls and then rises."""
    left, right = high - GOLDEN_FACTOR * (high - low), low + GOLDEN_FACTOR * (high - low)
    at_left, at_right = value(left), value(right)
    for _ in range(STEPS):
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - GOLDEN_FACTOR * (high - low)
            at_left = value(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + GOLDEN_FACTOR * (high - low)
            at_right = value(right)
    return min(at_left, at_right)


def fits_inside(long_mm: float, wide_mm: float, length_mm: float, width_mm: float) -> bool:
    """Whether one rectangle lies inside another, turned as it likes.

    References
    ----------
    Wetzel, Rectangles in Rectangles, Mathematics Magazine 73(3), 2000, 204-211.

    Examples
    --------
    >>> fits_inside(9, 4, 8, 6), fits_inside(10.5, 1, 10, 6)
    (False, True)
    """
    p, q = max(long_mm, wide_mm), min(long_mm, wide_mm)
    a, b = max(length_mm, width_mm), min(length_mm, width_mm)
    if q > b or p <= a:
        return q <= b
    return bool(p > q and ((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2)


def longest_inside_mm(wide_mm: float, length_mm: float, width_mm: float) -> float:
    """The longest rectangle of this width that lies inside the given one, turned as it likes.

    Examples
    --------
    >>> round(longest_inside_mm(1.25, 80, 51), 4)
    93.7449
    """
    if wide_mm > min(length_mm, width_mm):
        return 0.0
    return _most(
        lambda value: fits_inside(value, wide_mm, length_mm, width_mm),
        max(length_mm, width_mm),
        hypot(length_mm, width_mm),
    )


def _most(holds: Callable[[float], bool], low: Quantity, high: Quantity) -> Quantity:
    """The largest value that was seen to hold, between one that does and one that may not."""
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def tilted(plan_mm: float, clear_mm: float, high_mm: float, most_deg: float) -> tuple[float, float]:
    """The longest upright plate, pitched or level, and its pitch in degrees.

    Pitched it must be no longer in plan than `plan_mm`, no higher than `clear_mm`, and never swing
    its diagonal under the ceiling: it cannot be stood on its end.

    References
    ----------
    ``L cos t + H sin t <= plan`` and ``L sin t + H cos t <= clear``. The first bound falls until
    ``sin t = H / plan`` and then rises, the second falls until the diagonal stands upright, so the
    best pitch is where they cross, or the steepest allowed.

    Examples
    --------
    >>> longest, pitch = tilted(2400, 2338, 648, 60)
    >>> round(longest), round(pitch, 1), tilted(2400, 600, 648, 60)
    (2703, 43.8, (0.0, 0.0))
    """
    if high_mm > clear_mm or plan_mm <= 0:
        return 0.0, 0.0
    steepest = min(radians(most_deg), acos(high_mm / clear_mm))
    gentlest = asin(min(1.0, high_mm / plan_mm))
    if gentlest >= steepest:
        return plan_mm, 0.0

    def by_plan_mm(pitch_rad: float) -> float:
        return (plan_mm - high_mm * sin(pitch_rad)) / cos(pitch_rad)

    def by_height_mm(pitch_rad: float) -> float:
        return (clear_mm - high_mm * cos(pitch_rad)) / sin(pitch_rad)

    pitch = _most(lambda value: by_plan_mm(value) <= by_height_mm(value), gentlest, steepest)
    longest = min(by_plan_mm(pitch), by_height_mm(pitch))
    return (longest, pitch * 180 / pi) if longest > plan_mm else (plan_mm, 0.0)


def lean_deg(high_mm: float, thick_mm: float, clear_mm: float) -> float:
    """The least lean out of upright that brings a plate under a height; inf if none does.

    Examples
    --------
    >>> lean_deg(648, 30, 700), round(lean_deg(648, 30, 600), 1), lean_deg(648, 30, 20)
    (0.0, 25.0, inf)
    """
    if high_mm <= clear_mm:
        return 0.0
    if thick_mm > clear_mm:
        return inf
    return (acos(clear_mm / hypot(high_mm, thick_mm)) + atan2(thick_mm, high_mm)) * 180 / pi


def slide_in(hall_mm: float, door_mm: float, wall_mm: float, wide_mm: float) -> tuple[float, float]:
    """The longest strip that slides from a hall through a door in its side wall, and its angle.

    The angle is in radians, from the wall. The hall must be straight for the strip's length, the
    room free beside the door.

    References
    ----------
    It just clears both jambs: ``d sin x - s cos x = w``; its rear end touches the hall's far wall:
    ``L = (a + s) / sin x``.

    Examples
    --------
    >>> longest, angle = slide_in(914, 762, 120, 110)
    >>> round(longest), round(angle, 3)
    (3507, 0.299)
    """
    if wide_mm >= door_mm:
        return 0.0, pi / 2
    angle = asin(wide_mm / hypot(door_mm, wall_mm)) + atan2(wall_mm, door_mm)
    return (hall_mm + wall_mm) / sin(angle), angle


def into_box_mm(
    wide_mm: float, width_mm: float, depth_mm: float, *, door_mm: float, return_mm: float
) -> float:
    """The longest strip that goes in through a door in a box's front and lies slanted inside.

    References
    ----------
    Its rear corner slides in along the jamb beside `return_mm`, its tip along the back, until it
    lies in ``(W - r) x D``. With s of it still outside, it leans by ``cos x = (D + s) / L`` and
    its side must pass the other jamb: ``s tan x + w / cos x <= d``, where ``w / cos x`` is taken
    at its most, ``w L / D``. Where it can only lie along the front it must also swing its diagonal.

    Examples
    --------
    >>> round(into_box_mm(110, 1600, 1400, door_mm=900, return_mm=350))
    1768
    """
    span_mm = width_mm - return_mm
    if wide_mm >= min(door_mm, span_mm, depth_mm) or door_mm > span_mm + 1e-9:
        return 0.0
    inside_mm = longest_inside_mm(wide_mm, span_mm, depth_mm)
    if inside_mm <= span_mm:
        inside_mm = max(depth_mm, sqrt(span_mm**2 - wide_mm**2))

    def passes(value: float) -> bool:
        def short_mm(outside_mm: float) -> float:
            tall = depth_mm + outside_mm
            return -outside_mm * sqrt(max(0.0, value * value - tall * tall)) / tall

        widest = -_valley(short_mm, 0.0, value - depth_mm) if value > depth_mm else 0.0
        return widest + wide_mm * value / depth_mm <= door_mm

    straight_mm = min(depth_mm, inside_mm)
    if inside_mm <= straight_mm or passes(inside_mm):
        return inside_mm
    return _most(passes, straight_mm, inside_mm) if passes(straight_mm) else straight_mm


def straight_into_box_mm(
    wide_mm: float, width_mm: float, depth_mm: float, *, door_mm: float, return_mm: float,
    wall_mm: float,
) -> float:  # fmt: skip
    """The longest strip that slides into a box through its door without turning on the way.

    So an upright plane of this length is free behind the door's head, in which a plate may pitch.

    References
    ----------
    At an angle x from straight ahead the strip passes both jambs if ``d cos x - s sin x >= w``. Its
    side runs past the outer jamb, its rear lies behind the front: it ends at the back after
    ``(D - w sin x) / cos x`` and at the far side after
    ``(W - r - w cos x - (s + w sin x) tan x) / sin x``; the first grows with x, the second falls.

    Examples
    --------
    >>> round(straight_into_box_mm(110, 1600, 1400, door_mm=900, return_mm=350, wall_mm=150))
    1667
    """
    if wide_mm >= min(door_mm, depth_mm) or door_mm + return_mm > width_mm + 1e-9:
        return 0.0
    steepest = acos(wide_mm / hypot(door_mm, wall_mm)) - atan2(wall_mm, door_mm)

    def to_back_mm(x_rad: float) -> float:
        return (depth_mm - wide_mm * sin(x_rad)) / cos(x_rad)

    def to_side_mm(x_rad: float) -> float:
        across = width_mm - return_mm - wide_mm * cos(x_rad)
        return (across - (wall_mm + wide_mm * sin(x_rad)) * tan(x_rad)) / sin(x_rad)

    angle = _most(lambda x: x == 0 or to_back_mm(x) <= to_side_mm(x), 0.0, steepest)
    return min(to_back_mm(angle), to_side_mm(angle)) if angle > 0 else depth_mm
