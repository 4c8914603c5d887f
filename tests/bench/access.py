"""How far the way in can be trusted, and what it costs: ``python -m tests.bench.access``.

600 random elements before the judge that moves a plate past walls. The goals: no false "fits", at
corners and stair feet at most 3 % below what collides, at most 15 ms a route. Side doors into
small rooms are searched too: at most 15 % below what a shrunken strip finds, 3 s a length.
"""

import time
from math import cos, radians
from random import Random
from statistics import mean

from crewjobs.domain.access import check, longest_piece, search, shapes
from tests import make
from tests.domain.access import walls
from tests.domain.access.random_ways import trials
from tests.domain.access.test_search import WIDE_MM, Hopeful, rooms
from tests.domain.access.test_verdicts import corner, door, landing, lift, side_door, stairs

ELEMENTS = 600
SEED = 1
STEP_SHARE = 0.001
ROUTES = 100
DOORS = 10


def main() -> None:
    began = time.perf_counter()
    found = list(trials(SEED, ELEMENTS))
    false = [each for each in found if not each.passes]
    print(f"{len(found)} random elements, {len(false)} false fits  ({since(began):.0f} s)")
    for each in false:
        print("  ", each)
    gaps = [shyness(Random(seed)) for seed in range(60)]
    print(f"corners and stair feet below the first collision: most {max(gaps):.2%} (goal 3 %)")
    route = (door(), corner(), stairs(), landing(), landing(180, gap_mm=100), side_door(),
             corner(turn_deg=60), lift(1600, 1400))  # fmt: skip
    pieces = [make.piece(length_mm=1000 + 20 * n, depth_mm=648) for n in range(ROUTES)]
    times = []
    for piece in pieces:
        began = time.process_time()  # on a busy machine a waiting process is no slow one
        check(piece, route)
        times.append((time.process_time() - began) * 1e3)
    print(f"a route of {len(route)} elements: mean {mean(times):.1f} ms, most {max(times):.1f} ms")
    small_rooms()


def small_rooms() -> None:
    """How far formulas and search stay below what a strip shrunk by its motion finds."""
    rng = Random(SEED)
    shy: dict[str, list[float]] = {"formulas": [], "search": []}
    lengths: list[float] = []
    while len(lengths) < DOORS:
        room = rooms(rng)
        began = time.process_time()
        search.way(room, shapes.corner_mm(room.hall_mm, room.door_mm, WIDE_MM), WIDE_MM)
        lengths.append(time.process_time() - began)
        sizes = {
            "hall_mm": room.hall_mm, "length_mm": room.run_mm, "width_mm": room.door_mm,
            "wall_mm": room.wall_mm, "room_mm": room.room_mm, "free_wall_mm": room.beyond_mm or 1,
        }  # fmt: skip
        formula = longest_piece((side_door(**sizes),), 648).level_mm + 60
        found = max(formula, search.longest_mm(room, WIDE_MM))
        hoped = hoped_mm(room, found)
        shy["formulas"].append(1 - formula / hoped)
        shy["search"].append(1 - found / hoped)
    for name, gaps in shy.items():
        print(f"{DOORS} side doors, {name} below what may pass: mean {mean(gaps):.1%}, "
              f"most {max(gaps):.1%}")  # fmt: skip
    print(f"a tested length: mean {mean(lengths):.2f} s, most {max(lengths):.2f} s of one core")


def hoped_mm(room: search.SideRoom, found: float) -> float:
    """A length that not even the shrunken strip passes, to 2 %."""
    while found < room.run_mm and Hopeful(room, found, WIDE_MM).way():
        found *= 1.02
    return min(found, room.run_mm)


def since(began: float) -> float:
    return time.perf_counter() - began


def shyness(rng: Random) -> float:
    """How far below the shortest plate that collides a limit lies, in steps of 0.1 %."""
    a, b, turn = rng.uniform(800, 1500), rng.uniform(800, 1500), rng.uniform(25, 140)
    height, pitch, high = rng.uniform(2100, 2600), rng.uniform(28, 42), rng.uniform(500, 1200)
    headroom = height - rng.uniform(100, 400)
    round_it = shapes.corner_mm(a, b, 110, turn_deg=turn)
    up_it = shapes.corner_mm(height, headroom * cos(radians(pitch)), high, turn_deg=pitch)
    gaps = []
    for longest, passes in (
        (round_it, lambda long: walls.round_a_corner(a, b, turn, long, 110)),
        (up_it, lambda long: walls.up_the_foot(height, headroom, pitch, long, high)),
    ):
        steps = next(n for n in range(1, 200) if not passes(longest * (1 + n * STEP_SHARE)))
        gaps.append(steps * STEP_SHARE)
    return max(gaps)


if __name__ == "__main__":
    main()
