"""The longest piece that each element of the way in admits, carried on edge, level or tilted.

Every figure is sufficient: within the clearances a motion exists. Steps count as a ramp through
their nosings, walls as upright and straight; handrails, hooks and people are not known: enter the
clear width. What was not measured makes a limit unknown, never a pass.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import atan2, cos, inf, radians, sin, sqrt

from crewjobs.domain.access import shapes
from crewjobs.domain.access.search import SideRoom
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.facts import RouteElement, RouteKind

Sizes = Mapping[str, float]
Searched = Mapping[str, float]
"""What a search found, in millimetres by the fingerprint of what was searched."""
NOTHING: Searched = {}
QUARTER_DEG, HALF_DEG = 90.0, 180.0
"""The landings that are known."""
TURNING = frozenset({RouteKind.TURN, RouteKind.LANDING})


@dataclass(frozen=True, kw_only=True, slots=True)
class Carried:
    """The cross-section of a piece on edge, and what is kept free around it."""

    high_mm: float
    thick_mm: float
    clearances: Clearances
    searched: Searched = field(default_factory=dict)

    @property
    def wide_mm(self) -> float:
        """Its thickness with the room beside it."""
        return self.thick_mm + 2 * self.clearances.side_mm

    @property
    def ends_mm(self) -> float:
        """The room at both ends."""
        return 2 * self.clearances.end_mm

    def clear_mm(self, height_mm: float) -> float:
        """What is left of a height."""
        return height_mm - self.clearances.lift_mm - self.clearances.head_mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Limit:
    """The longest piece that one element admits; `missing` names what was not measured."""

    level_mm: float
    tilted_mm: float
    spare_mm: float = inf
    """What the cross-section leaves in height and width, beyond the clearances; below 0, lacks."""
    tilt_deg: float = 0.0
    tilt: str = ""
    """Pitch, one end up; or lean, out of upright."""
    name: str = ""
    missing: tuple[str, ...] = ()


def limits(
    route: tuple[RouteElement, ...],
    high_mm: float,
    thick_mm: float,
    clearances: Clearances,
    searched: Searched = NOTHING,
) -> tuple[Limit, ...]:
    """The limit of each element in turn, for a piece of this height on edge.

    Where a search found more than the formulas, its length counts.

    Examples
    --------
    >>> corner = RouteElement(kind=RouteKind.TURN, width_mm=1067, depth_mm=914, height_mm=2438,
    ...                       turn_deg=90)
    >>> (limit,) = limits((corner,), 648, 30, Clearances())
    >>> round(limit.level_mm), round(limit.tilted_mm), round(limit.tilt_deg)
    (2518, 2792, 42)
    """
    carried = Carried(high_mm=high_mm, thick_mm=thick_mm, clearances=clearances, searched=searched)
    found = [_limit(element, place, carried) for place, element in enumerate(route, start=1)]
    return (*found, *_legs(route, found, carried))


def _limit(element: RouteElement, place: int, carried: Carried) -> Limit:
    name = element.name or f"{element.kind} {place}"
    known = ((each, getattr(element, each)) for each in RouteElement.sizes())
    sizes = {each: value for each, value in known if value is not None}
    needs, longest = _way(element)
    if missing := tuple(each for each in needs if each not in sizes):
        return Limit(level_mm=inf, tilted_mm=inf, name=name, missing=missing)
    return replace(longest(sizes, carried), name=name)


def _way(element: RouteElement) -> tuple[tuple[str, ...], Callable[[Sizes, Carried], Limit]]:
    """What has to be measured of an element, and the function that then knows its limit."""
    if element.kind is not RouteKind.LANDING and (element.turn_deg or 0) > shapes.SHARPEST_DEG:
        return (f"turn_deg of at most {shapes.SHARPEST_DEG:g}, or two turns",), _turn
    if is_side_door(element):
        return ("width_mm", "height_mm", "hall_mm", "room_mm", "length_mm"), _side_door
    if element.kind is RouteKind.LANDING and element.turn_deg not in (QUARTER_DEG, HALF_DEG):
        return ("turn_deg of 90 or 180",), _landing
    return _WAYS[element.kind]


def _legs(route: tuple[RouteElement, ...], found: list[Limit], carried: Carried) -> Iterator[Limit]:
    """Between two turns a piece must lie whole in the leg.

    The clear lengths of what lies between are at most the leg's outer length: exact where both
    turn the same way, too strict where the second turns back. A side door asks for itself.
    """
    turns = [place for place, element in enumerate(route) if element.kind in TURNING]
    for first, second in pairwise(turns):
        between = route[first:second]
        if any(each.kind is RouteKind.LIFT or is_side_door(each) for each in between):
            continue
        name = f"between {found[first].name} and {found[second].name}"
        leg_mm = sum(each.length_mm or 0.0 for each in between)
        if leg_mm:
            longest = max(0.0, leg_mm - carried.ends_mm)
            yield Limit(level_mm=longest, tilted_mm=longest, name=name)
        else:
            yield Limit(level_mm=inf, tilted_mm=inf, name=name, missing=("length_mm",))


def is_side_door(element: RouteElement) -> bool:
    """Whether a door opens sideways from a hall."""
    return element.kind is RouteKind.DOOR and element.turn_deg is not None


def _opening(sizes: Sizes, carried: Carried) -> Limit:
    """A door or hall is passed lengthwise: the cross-section decides, upright or leaning."""
    width_mm = sizes.get("width_mm", inf)
    clear_mm = carried.clear_mm(sizes.get("height_mm", inf))
    spare = min(clear_mm - carried.high_mm, width_mm - carried.wide_mm)
    if spare >= 0:
        return Limit(level_mm=inf, tilted_mm=inf, spare_mm=spare)
    lean = shapes.lean_deg(carried.high_mm, carried.thick_mm, clear_mm)
    if 0 < lean <= carried.clearances.most_lean_deg:
        left = width_mm - _leaning_mm(carried, lean)
        if left >= 0:
            return Limit(level_mm=0, tilted_mm=inf, spare_mm=left, tilt_deg=lean, tilt="lean")
    return Limit(level_mm=0, tilted_mm=0, spare_mm=spare)


def _leaning_mm(carried: Carried, lean_deg: float) -> float:
    lean = radians(lean_deg)
    wide = carried.high_mm * sin(lean) + carried.thick_mm * cos(lean)
    return wide + 2 * carried.clearances.side_mm


def _pitched(plan_mm: float, clear_mm: float, spare_mm: float, carried: Carried) -> Limit:
    """A limit in plan, level and with one end up."""
    if min(plan_mm, spare_mm) < 0:
        return Limit(level_mm=0, tilted_mm=0, spare_mm=min(spare_mm, 0))
    most = carried.clearances.most_pitch_deg
    longest, pitch = shapes.tilted(plan_mm, clear_mm, carried.high_mm, most)
    return Limit(
        level_mm=plan_mm,
        tilted_mm=longest,
        spare_mm=spare_mm,
        tilt_deg=pitch,
        tilt="pitch" if pitch else "",
    )


def _turn(sizes: Sizes, carried: Carried) -> Limit:
    first, second, turn = sizes["width_mm"], sizes["depth_mm"], sizes["turn_deg"]
    plan = shapes.corner_mm(first, second, carried.wide_mm, turn_deg=turn) - carried.ends_mm
    clear = carried.clear_mm(sizes["height_mm"])
    spare = min(clear - carried.high_mm, min(first, second) - carried.wide_mm)
    return _pitched(plan, clear, spare, carried)


def side_rooms(
    route: tuple[RouteElement, ...], thick_mm: float, clearances: Clearances
) -> Iterator[tuple[int, SideRoom, float]]:
    """What a search is worth: each side door measured whole, and the strip's width there."""
    wide_mm = Carried(high_mm=0, thick_mm=thick_mm, clearances=clearances).wide_mm
    for place, element in enumerate(route):
        known = ((each, getattr(element, each)) for each in RouteElement.sizes())
        sizes = {each: value for each, value in known if value is not None}
        if is_side_door(element) and _is_bounded(sizes):
            yield place, _side_room(sizes), wide_mm


def _is_bounded(sizes: Sizes) -> bool:
    """Whether all that bounds the room behind a side door was measured, and it is square."""
    needs = {"hall_mm", "width_mm", "length_mm", "room_mm", "wall_mm", "free_wall_mm"}
    return needs <= sizes.keys() and sizes["turn_deg"] == QUARTER_DEG


def _side_room(sizes: Sizes) -> SideRoom:
    return SideRoom(
        hall_mm=sizes["hall_mm"],
        run_mm=sizes["length_mm"],
        door_mm=sizes["width_mm"],
        wall_mm=sizes["wall_mm"],
        room_mm=sizes["room_mm"],
        beyond_mm=sizes["free_wall_mm"],
    )


def _side_door(sizes: Sizes, carried: Carried) -> Limit:
    """Round the jamb as round a corner, slid in along the wall, or as a search found it."""
    hall, door, run, room = (sizes[n] for n in ("hall_mm", "width_mm", "length_mm", "room_mm"))
    clear = carried.clear_mm(sizes["height_mm"])
    spare = min(clear - carried.high_mm, min(hall, door) - carried.wide_mm)
    turn = sizes["turn_deg"]
    plan = min(shapes.corner_mm(hall, door, carried.wide_mm, turn_deg=turn), run, room)
    if _is_bounded(sizes):
        longest, angle = shapes.slide_in(hall, door, sizes["wall_mm"], carried.wide_mm)
        along = min(sizes["free_wall_mm"], run) / cos(angle) if longest else 0.0
        deep = (room - carried.wide_mm * cos(angle)) / sin(angle)
        found = carried.searched.get(_side_room(sizes).fingerprint(carried.wide_mm), 0.0)
        plan = max(plan, min(longest, along, deep), found)
    return _pitched(plan - carried.ends_mm, clear, spare, carried)


def _stairs(sizes: Sizes, carried: Carried) -> Limit:
    """The corners at the foot and the head of a flight, seen from the side."""
    pitch, width = sizes["pitch_deg"], sizes["width_mm"]
    slope_mm = sizes["headroom_mm"] * cos(radians(pitch))

    def longest_mm(lean_deg: float) -> float:
        lean = radians(lean_deg)
        tall = carried.high_mm * cos(lean) + carried.thick_mm * sin(lean)
        tall += carried.clearances.lift_mm + carried.clearances.head_mm
        over = shapes.corner_mm(sizes["height_mm"], slope_mm, tall, turn_deg=pitch)
        return max(0.0, over - carried.ends_mm)

    spare = min(
        carried.clear_mm(min(slope_mm, sizes["height_mm"])) - carried.high_mm,
        width - carried.wide_mm,
    )
    if width < carried.wide_mm:
        return Limit(level_mm=0, tilted_mm=0, spare_mm=spare)
    steepest = int(carried.clearances.most_lean_deg)
    leans = [d for d in range(steepest + 1) if _leaning_mm(carried, d) <= width]
    level, lean = longest_mm(0), max(leans, default=0)
    leaned = longest_mm(lean)
    if leaned <= level:
        return Limit(level_mm=level, tilted_mm=level, spare_mm=spare)
    if spare < 0:
        spare = width - _leaning_mm(carried, lean)
    return Limit(level_mm=level, tilted_mm=leaned, spare_mm=spare, tilt_deg=lean, tilt="lean")


def _landing(sizes: Sizes, carried: Carried) -> Limit:
    """A corner that is turned while the pitch runs between level and that of the flights.

    Checked against a search over position, height, yaw and pitch, not proven: 2 to 8 % below it.
    """
    width, depth, high = sizes["width_mm"], sizes["depth_mm"], carried.high_mm
    plan = shapes.corner_mm(width, depth, carried.wide_mm)
    if sizes["turn_deg"] == HALF_DEG:
        plan = min(plan, 2 * width + sizes.get("gap_mm", 0.0))
    plan -= carried.ends_mm
    clear = carried.clear_mm(sizes["height_mm"])
    spare = min(clear - high, min(width, depth) - carried.wide_mm)
    if spare < 0 or plan <= high:
        return Limit(level_mm=0, tilted_mm=0, spare_mm=spare)
    pitch = radians(sizes["pitch_deg"])
    longest = sqrt(plan**2 - high**2)
    if atan2(high, longest) > pitch:
        longest = (plan - high * sin(pitch)) / cos(pitch)
    longest = max(0.0, min(longest, (clear - high * cos(pitch)) / sin(pitch)))
    return Limit(level_mm=longest, tilted_mm=longest, spare_mm=spare)


def _lift(sizes: Sizes, carried: Carried) -> Limit:
    """Slid in slanting past the narrower front wall, or pitched under the door's head.

    The landing in front has to be free. Where nobody measured the front wall the door is taken as
    centred, the least that it can do.
    """
    width, depth, door = sizes["width_mm"], sizes["depth_mm"], sizes["door_mm"]
    beside = min(sizes.get("return_mm", inf), max(0.0, width - door) / 2)
    under = carried.clear_mm(min(sizes["door_height_mm"], sizes["height_mm"]))
    spare = min(under - carried.high_mm, door - carried.wide_mm)
    level = shapes.into_box_mm(carried.wide_mm, width, depth, door_mm=door, return_mm=beside)
    level -= carried.ends_mm
    if min(spare, level) < 0:
        return Limit(level_mm=0, tilted_mm=0, spare_mm=min(spare, 0))
    wall = sizes.get("wall_mm", carried.clearances.lift_wall_mm)
    plan = shapes.straight_into_box_mm(
        carried.wide_mm, width, depth, door_mm=door, return_mm=beside, wall_mm=wall
    )
    inside = _pitched(plan - carried.ends_mm, carried.clear_mm(sizes["height_mm"]), spare, carried)
    swung = shapes.corner_mm(plan - carried.ends_mm, under, carried.high_mm)
    longest = min(inside.tilted_mm, swung)
    if longest <= level:
        return Limit(level_mm=level, tilted_mm=level, spare_mm=spare)
    return replace(inside, level_mm=level, tilted_mm=longest)


_WAYS: dict[RouteKind, tuple[tuple[str, ...], Callable[[Sizes, Carried], Limit]]] = {
    RouteKind.PATH: ((), _opening),
    RouteKind.DOOR: (("width_mm", "height_mm"), _opening),
    RouteKind.HALL: (("width_mm", "height_mm"), _opening),
    RouteKind.TURN: (("width_mm", "depth_mm", "height_mm", "turn_deg"), _turn),
    RouteKind.STAIRS: (("width_mm", "height_mm", "headroom_mm", "pitch_deg"), _stairs),
    RouteKind.LANDING: (
        ("width_mm", "depth_mm", "height_mm", "turn_deg", "pitch_deg"), _landing,
    ),
    RouteKind.LIFT: (
        ("width_mm", "depth_mm", "height_mm", "door_mm", "door_height_mm"), _lift,
    ),
}  # fmt: skip
