"""Unloads a plan stop by stop and looks for broken rules: an independent judge of load plans.

It knows nothing of costs and bits. It takes each piece off as a crew does, and measures the frame
as it stands after each stop.
"""

from dataclasses import dataclass
from itertools import pairwise

from crewjobs.domain.loading import Frame, Item, LoadPlan, Place


@dataclass
class Judgement:
    problems: list[str]
    rehandles: int
    set_asides: int


def judge(plan: LoadPlan, items: list[Item], frame: Frame) -> Judgement:
    sides = [list(plan.left), list(plan.right)]
    problems = [
        *everybody_once(sides, [item.name for item in plan.rack], items),
        *on_departure(sides, items, frame),
        *in_rack(plan, frame),
    ]
    rehandles = set_asides = 0
    for stop in [0, *sorted({item.stop for item in items})]:
        for side in sides:
            again, aside = unload(side, stop)
            rehandles += again
            set_asides += aside
        apart = abs(mass(sides[0]) - mass(sides[1]))
        if apart > frame.most_imbalance_kg + 1e-6:
            problems.append(f"after stop {stop}: {apart:.0f} kg apart")
    return Judgement(problems, rehandles, set_asides)


def mass(side: list[Place]) -> float:
    return sum(place.item.mass_kg for place in side)


def everybody_once(sides: list[list[Place]], rack: list[str], items: list[Item]) -> list[str]:
    loaded = sorted([*rack, *(place.item.name for side in sides for place in side)])
    return [] if loaded == sorted(item.name for item in items) else ["a piece is missing or twice"]


def on_departure(sides: list[list[Place]], items: list[Item], frame: Frame) -> list[str]:
    found = []
    if sum(item.mass_kg for item in items) > frame.payload_kg + 1e-6:
        found.append("payload")
    for side in sides:
        if mass(side) > frame.side_kg + 1e-6:
            found.append("a side is too heavy")
        if sum(p.item.thickness_mm + frame.pad_mm for p in side) > frame.depth_mm + 1e-6:
            found.append("a stack is too thick")
        found += [p.item.name for p in side if p.item.length_mm > frame.length_mm]
        found += [p.item.name for p in side if p.item.height_mm > frame.height_mm]
        for behind, place in pairwise(side):
            ends = (place.item.length_mm - behind.item.length_mm) / 2
            above = place.item.height_mm - behind.item.height_mm
            if max(ends, 0) + max(above, 0) > frame.most_overhang_mm + 1e-6:
                found.append(f"{place.item.name} overhangs")
            if behind.item.height_mm < place.item.height_mm / 2 - 1e-6:
                found.append(f"{place.item.name} is held below its middle")
        faces = {place.facing for place in side[::2]} & {place.facing for place in side[1::2]}
        found += ["faces do not alternate"] * len(faces)
        found += [p.item.name for p in side if weak_below(p.item)]
    return found


def in_rack(plan: LoadPlan, frame: Frame) -> list[str]:
    heavy = sum(item.mass_kg for item in plan.rack) > frame.rack_kg + 1e-6
    high = [item.name for item in plan.rack if item.height_mm > frame.rack_height_mm]
    long = [item.name for item in plan.rack if item.length_mm > frame.length_mm]
    return [*high, *long, *(["the rack is too heavy"] if heavy else [])]


def weak_below(item: Item) -> bool:
    low, high = item.low_rail_mm or 0, item.high_rail_mm or 0
    below, above = (high, low) if item.is_turned_over else (low, high)
    return below < above


def unload(side: list[Place], stop: int) -> tuple[int, int]:
    """Take off what this stop wants; count what has to come off besides, and out of turn."""
    wanted = [place for place in side if place.item.stop == stop]
    again = aside = 0
    if wanted:
        deepest = min(side.index(place) for place in wanted)
        again = sum(place.item.stop != stop for place in side[deepest:])
    for place in wanted:
        behind = side[: side.index(place)]
        aside += any(b.item.stop == stop and b.item.order < place.item.order for b in behind)
    side[:] = [place for place in side if place.item.stop != stop]
    return again, aside
