"""Invented crew boards to measure planning on: towns, crews with trucks, a week or two of work.

Sizes in crews x days x visits: S 3x5x30, M 10x5x150, L 40x10x1,200, XL 200x10x6,000. The load is
what the visits ask, with 26 minutes of driving each, over what the crews' shifts hold.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from crewjobs.domain.scheduling import CrewDay, GreatCircle, Place, Problem, Visit, Window

MONDAY = date(2030, 1, 7)
KM_A_DEG = 111.19508
DRIVE_MIN = 26
"""What a visit is reckoned to ask in drives when the load is set."""
LONGEST_MIN = 400
SKILLS = ("install", "repair", "sink", "template")
FULL, MORNING, AFTERNOON = (420, 960), (480, 690), (780, 960)


@dataclass(frozen=True)
class Size:
    """How big a board is."""

    crews: int
    days: int
    visits: int

    @property
    def depots(self) -> int:
        return max(1, self.crews // 12)

    @property
    def side_km(self) -> float:
        return 22 * math.sqrt(self.depots) + 18


SIZES = {
    "S": Size(3, 5, 30),
    "M": Size(10, 5, 150),
    "L": Size(40, 10, 1200),
    "XL": Size(200, 10, 6000),
}


def crew_board(size: Size, seed: int, load_share: float = 1.0) -> Problem:
    """A board of this size; the same for the same seed."""
    rng = random.Random(f"{size} {seed}")
    crew_days = [each for crew in range(size.crews) for each in _crew(rng, size, crew)]
    open_min = sum(c.shift_end_min - c.shift_start_min - 30 for c in crew_days)
    mean_min = load_share * open_min / size.visits - DRIVE_MIN
    towns = list(_towns(rng, size))
    kinds = rng.choices(["install", "template", "repair"], [0.68, 0.16, 0.16], k=size.visits)
    shares = [(1.25 if kind == "install" else 0.45) * math.exp(rng.gauss(0, 0.3)) for kind in kinds]
    factor = mean_min * size.visits / sum(shares)
    visits = [
        _visit(rng, f"v{n:04}", (size, towns), kind, share * factor)
        for n, (kind, share) in enumerate(zip(kinds, shares, strict=True))
    ]
    travel = GreatCircle(circuity_factor=1.3, speed_kmh=50.0, fixed_min=4)
    return Problem(crew_days=tuple(crew_days), visits=tuple(visits), travel=travel)


def _place(x_km: float, y_km: float) -> Place:
    return Place(at_lat=y_km / KM_A_DEG, at_lon=x_km / KM_A_DEG)


def _depot(size: Size, crew: int) -> Place:
    columns = math.ceil(math.sqrt(size.depots))
    rows = math.ceil(size.depots / columns)
    n = crew % size.depots
    return _place(
        size.side_km * (n % columns + 0.5) / columns, size.side_km * (n // columns + 0.5) / rows
    )


def _crew(rng: random.Random, size: Size, crew: int) -> Iterator[CrewDay]:
    """The first two crews can do everything, so that hardly a visit is beyond all of them."""
    hands = {0: 4, 1: 3}.get(crew, rng.choices([2, 3, 4], [0.5, 0.35, 0.15])[0])
    skills = {"install", "repair"}
    skills |= {name for name, chance in (("sink", 0.6), ("template", 0.4)) if rng.random() < chance}
    off = rng.randrange(size.days) if size.days > 5 and rng.random() < 0.5 else -1
    start_min, end_min = rng.choice([450, 480, 480]), rng.choice([990, 1020, 1020])
    payload_kg, thickness_mm = rng.choice([1000, 1400, 1800]), rng.choice([450, 600])
    for day in range(size.days):
        if day != off:
            yield CrewDay(
                crew=f"crew {crew:03}",
                day=MONDAY + timedelta(days=day),
                depot=_depot(size, crew),
                hands=hands,
                skills=frozenset(SKILLS if crew < 2 else skills),
                shift_start_min=start_min,
                shift_end_min=end_min,
                payload_kg=payload_kg,
                frame_thickness_mm=thickness_mm,
            )


def _towns(rng: random.Random, size: Size) -> Iterator[tuple[float, float, float, float]]:
    """Where, how wide in km, how much of the work."""
    for _ in range(6 * size.depots):
        at = rng.uniform(0, size.side_km), rng.uniform(0, size.side_km)
        yield *at, rng.uniform(2, 5), rng.random() + 0.2


def _visit(rng: random.Random, name: str, region, kind: str, minutes: float) -> Visit:
    size, towns = region
    x_km, y_km, width_km, _ = rng.choices(towns, [town[3] for town in towns])[0]
    is_install = kind == "install"
    ready = 0 if rng.random() < 0.5 else rng.randrange(size.days)
    duration_min = min(LONGEST_MIN, max(25, round(minutes)))
    return Visit(
        id=name,
        place=_place(*(min(size.side_km, max(0, rng.gauss(at, width_km))) for at in (x_km, y_km))),
        duration_min=duration_min,
        p50_min=round(duration_min / 1.1),
        p80_min=round(duration_min * rng.uniform(1.0, 1.2)),
        windows=_windows(rng, ready, size.days),
        ready_on=MONDAY + timedelta(days=ready),
        due_on=MONDAY + timedelta(days=ready + rng.randint(1, max(2, size.days // 2))),
        priority=rng.choices([1, 2, 3], [0.6, 0.3, 0.1])[0],
        hands=rng.choices([2, 3, 4], [0.72, 0.23, 0.05])[0] if is_install else 2,
        skills=frozenset({kind, "sink"} if is_install and rng.random() < 0.3 else {kind}),
        mass_kg=rng.randint(120, 520) if is_install else 10,
        longest_piece_mm=rng.randint(1200, 3100) if is_install else 0,
        load_thickness_mm=rng.randint(62, 200) if is_install else 0,
    )


def _windows(rng: random.Random, ready: int, days: int) -> tuple[Window, ...] | None:
    """Any time for 45 %, two to four whole or half days for 35 %, two hours for the others."""
    chance = rng.random()
    if chance < 0.45:
        return None
    if chance < 0.8:
        chosen = sorted(rng.sample(range(ready, days), min(days - ready, rng.randint(2, 4))))
        return tuple(_window(day, *rng.choice([FULL, MORNING, AFTERNOON])) for day in chosen)
    start_min = rng.choice([480, 540, 600, 660, 780, 840, 900])
    return (_window(rng.randrange(ready, days), start_min, start_min + 120),)


def _window(day: int, earliest_min: int, latest_min: int) -> Window:
    return Window(
        day=MONDAY + timedelta(days=day), earliest_min=earliest_min, latest_min=latest_min
    )
