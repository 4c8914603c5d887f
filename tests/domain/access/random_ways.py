"""Random elements of a way in, each with the plate that the closed forms say just passes."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians
from random import Random

from crewjobs.domain.access import shapes
from tests.domain.access import walls

SHY_SHARE = 1e-6
"""The judge is asked about a plate shorter by this."""


@dataclass(frozen=True)
class Trial:
    what: str
    longest_mm: float
    passes: bool
    """What the judge says of that length."""


def trials(seed: int, number: int) -> Iterator[Trial]:
    rng = Random(seed)
    kinds = (corner, corner, foot, side_door, cab, pitched_cab)
    for place in range(number):
        yield kinds[place % len(kinds)](rng)


def corner(rng: Random) -> Trial:
    a, b = rng.uniform(700, 1800), rng.uniform(700, 1800)
    turn, wide = rng.choice((90, rng.uniform(20, 150))), rng.uniform(20, 600)
    long = shapes.corner_mm(a, b, wide, turn_deg=turn)
    fits = walls.round_a_corner(a, b, turn, long * (1 - SHY_SHARE), wide)
    return Trial(f"corner {a:.0f} {b:.0f} {turn:.0f} deg, {wide:.0f} wide", long, fits)


def foot(rng: Random) -> Trial:
    height, pitch = rng.uniform(2000, 2700), rng.uniform(25, 45)
    headroom, high = height - rng.uniform(50, 400), rng.uniform(400, 1300)
    long = shapes.corner_mm(height, headroom * cos(radians(pitch)), high, turn_deg=pitch)
    fits = not long or walls.up_the_foot(height, headroom, pitch, long * (1 - SHY_SHARE), high)
    return Trial(f"foot {height:.0f} {headroom:.0f} {pitch:.0f} deg, {high:.0f}", long, fits)


def side_door(rng: Random) -> Trial:
    hall, door, wall = rng.uniform(800, 1500), rng.uniform(650, 1000), rng.uniform(80, 250)
    wide = rng.uniform(40, 200)
    long, angle = shapes.slide_in(hall, door, wall, wide)
    long *= rng.choice((1 - SHY_SHARE, rng.uniform(0.6, 1)))
    room = long * cos(angle) + 1, long + wide
    fits = walls.in_by_the_side(hall, door, wall, room, (long, wide), angle)
    return Trial(f"side door {hall:.0f} {door:.0f} {wall:.0f}, {wide:.0f} wide", long, fits)


def cab(rng: Random) -> Trial:
    width, depth = rng.uniform(900, 2500), rng.uniform(900, 2500)
    door = rng.uniform(400, min(width, 1200))
    beside, wide = rng.uniform(0, (width - door) / 2), rng.uniform(40, 250)
    long = shapes.into_box_mm(wide, width, depth, door_mm=door, return_mm=beside)
    plate = long * (1 - 1e-3), wide  # the judge's last step overshoots by half a millimetre
    fits = long <= depth or walls.into_the_cab(width, depth, door, beside, plate)
    return Trial(f"cab {width:.0f} {depth:.0f} {door:.0f} {beside:.0f} {wide:.0f}", long, fits)


def pitched_cab(rng: Random) -> Trial:
    size = rng.uniform(1000, 2200), rng.uniform(1000, 2200)
    door = rng.uniform(700, min(size[0], 1100))
    beside, wide, wall = rng.uniform(0, (size[0] - door) / 2), rng.uniform(60, 150), 200
    under, inside, high = rng.uniform(1850, 2100), rng.uniform(2100, 2500), rng.uniform(400, 900)
    plan = shapes.straight_into_box_mm(wide, *size, door_mm=door, return_mm=beside, wall_mm=wall)
    long, pitch = shapes.tilted(plan, inside, high, 60)
    long = min(long, shapes.corner_mm(plan, under, high))
    fits = walls.straight_into_the_cab(size, door, beside, wall, (plan * 0.996, wide))
    if long > plan:
        plate = long * (1 - SHY_SHARE), high
        fits = fits and walls.under_the_head(plan, under, inside, pitch, plate)
    return Trial(f"pitched cab {size} {door:.0f} {beside:.0f} {high:.0f}", long, fits)
