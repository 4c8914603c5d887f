"""Invented planning problems: small ones made by hand, random ones from a seed."""

import random
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from crewjobs.domain.scheduling import (
    After,
    Break,
    CrewDay,
    GreatCircle,
    Horizon,
    Place,
    Problem,
    Promised,
    Schedule,
    Slot,
    Traffic,
    Visit,
    Window,
)

MONDAY = date(2030, 1, 7)
YARD = Place(at_lat=0, at_lon=0)


def day(n: int) -> date:
    return MONDAY + timedelta(days=n)


def place(x: float, y: float = 0) -> Place:
    """A place x km east and y km north of the yard."""
    return Place(at_lat=y / 111.19508, at_lon=x / 111.19508)


@dataclass(frozen=True)
class Crow:
    """A minute for each kilometre as the crow flies, so that times can be worked out by hand."""

    def minutes(self, places):
        points = np.array([(p.at_lon, p.at_lat) for p in places]) * 111.19508
        away = points[:, None] - points[None]
        return np.rint(np.hypot(away[..., 0], away[..., 1])).astype(np.int64)


def crew_day(crew: str = "A", on: int = 0, **fields) -> CrewDay:
    fields.setdefault("depot", YARD)
    return CrewDay(crew=crew, day=day(on), **fields)


def pause(start_min: int, end_min: int) -> Break:
    return Break(start_min=start_min, end_min=end_min)


def visit(name: str = "v", x: float = 10, y: float = 0, **fields) -> Visit:
    fields.setdefault("duration_min", 60)
    return Visit(id=name, place=place(x, y), **fields)


def problem(crew_days, visits, **fields) -> Problem:
    fields.setdefault("travel", Crow())
    return Problem(crew_days=tuple(crew_days), visits=tuple(visits), **fields)


def slots(schedule: Schedule) -> dict[str, tuple[str, int, int]]:
    """Crew, day from Monday and start of each placed visit."""
    return {s.visit: (s.crew, (s.day - MONDAY).days, s.start_min) for s in schedule.placed}


def published(solved: Problem, schedule: Schedule) -> Problem:
    """The problem again, each placed visit promised where it is now."""
    told = {s.visit: Slot(crew=s.crew, day=s.day, start_min=s.start_min) for s in schedule.placed}
    visits = tuple(replace(each, promise=told.get(each.id)) for each in solved.visits)
    return replace(solved, visits=visits)


RUSH = Traffic(steps=((0, 110), (420, 60), (555, 100), (930, 50), (1080, 120)))


def everything(plain: Problem, seed: int) -> Problem:
    """The problem with last days, territories, promises, rush hours and a horizon as well."""
    rng = random.Random(seed)
    days = sorted({each.day for each in plain.crew_days}) or [MONDAY]
    return replace(
        plain,
        visits=tuple(_with_everything(rng, each, plain) for each in plain.visits),
        crew_days=tuple(
            replace(each, areas=frozenset({each.crew}) if rng.random() < 0.7 else frozenset())
            for each in plain.crew_days
        ),
        traffic=RUSH,
        today=days[0],
        horizon=Horizon(day=rng.choice(days[:2]), start_min=rng.choice([0, 500, 600, 735, 900])),
    )


def _with_everything(rng: random.Random, plain: Visit, around: Problem) -> Visit:
    crews = sorted({each.crew for each in around.crew_days})
    days = sorted({each.day for each in around.crew_days})
    told = None
    if crews and rng.random() < 0.6:
        start_min = rng.choice([480, 505, 600, 700, 760, 900])
        told = Slot(crew=rng.choice(crews), day=rng.choice(days), start_min=start_min)
    return replace(
        plain,
        promise=told,
        promised=rng.choice(list(Promised)),
        areas=frozenset(rng.sample(crews, min(len(crews), rng.randint(0, 1)))),
        latest_on=rng.choice([None, None, *days]),
    )


@dataclass(frozen=True)
class Shape:
    """How big a random problem is and how full."""

    crews: int = 3
    days: int = 10
    visits: int = 60
    load_share: float = 0.95
    afters: int = 0


def random_problem(seed: int, shape: Shape | None = None) -> Problem:
    """An invented region: towns, crews of 2 to 4, installs, templates and repairs."""
    shape = shape or Shape()
    rng = random.Random(seed)
    towns = [(rng.uniform(-20, 20), rng.uniform(-20, 20)) for _ in range(6)]
    crew_days = [
        each for crew in range(shape.crews) for each in _crew_days(rng, f"crew {crew}", shape.days)
    ]
    open_min = sum(c.shift_end_min - c.shift_start_min - 30 for c in crew_days)
    mean_min = max(30.0, shape.load_share * open_min / max(1, shape.visits) - 25)
    visits = [_visit(rng, f"v{i:04}", towns, shape.days, mean_min) for i in range(shape.visits)]
    pairs = rng.sample(range(shape.visits), 2 * shape.afters)
    for earlier, later in zip(pairs[::2], pairs[1::2], strict=True):
        after = After(visit=visits[earlier].id, lead_days=rng.randint(1, 3))
        visits[later] = replace(visits[later], after=after)
    return problem(crew_days, visits, travel=GreatCircle())


def _crew_days(rng: random.Random, crew: str, days: int) -> list[CrewDay]:
    hands = 4 if crew == "crew 0" else rng.choices([2, 3, 4], [0.5, 0.35, 0.15])[0]
    skills = {"install", "repair", "template", "sink"}
    if crew != "crew 0":
        skills -= set(rng.sample(["template", "sink"], rng.randint(0, 1)))
    start, end = rng.choice([450, 480]), rng.choice([990, 1020])
    off = {rng.randrange(days)} if days > 5 and rng.random() < 0.5 else set()
    payload_kg, frame_mm = rng.choice([1000, 1400, 1800]), rng.choice([2600, 3200])
    return [
        crew_day(
            crew,
            on,
            hands=hands,
            skills=frozenset(skills),
            shift_start_min=start,
            shift_end_min=end,
            payload_kg=payload_kg,
            frame_length_mm=frame_mm,
        )
        for on in range(days)
        if on not in off
    ]


def _visit(rng: random.Random, name: str, towns, days: int, mean_min: float) -> Visit:
    town = rng.choice(towns)
    kind, share = rng.choices(
        [("install", 1.25), ("template", 0.45), ("repair", 0.45)], [0.68, 0.16, 0.16]
    )[0]
    is_install = kind == "install"
    ready = 0 if rng.random() < 0.5 else rng.randrange(days)
    duration_min = min(400, max(25, int(mean_min * share * rng.lognormvariate(0, 0.3))))
    return visit(
        name,
        rng.gauss(town[0], 3),
        rng.gauss(town[1], 3),
        duration_min=duration_min,
        windows=_windows(rng, ready, days),
        ready_on=day(ready),
        due_on=day(ready + rng.randint(1, max(2, days // 2))),
        priority=rng.choices([1, 2, 3], [0.6, 0.3, 0.1])[0],
        hands=rng.choices([2, 3, 4], [0.72, 0.23, 0.05])[0] if is_install else 2,
        skills=frozenset({kind, "sink"} if is_install and rng.random() < 0.3 else {kind}),
        mass_kg=rng.randint(120, 520) if is_install else 10,
        longest_piece_mm=rng.randint(1200, 3100) if is_install else 0,
        load_thickness_mm=rng.randint(40, 200) if is_install else 0,
    )


def _windows(rng: random.Random, ready: int, days: int) -> tuple[Window, ...] | None:
    """Any time for most, some chosen half days, or one span of two hours."""
    chance = rng.random()
    if chance < 0.45:
        return None
    if chance < 0.8:
        span = range(ready, days)
        chosen = sorted(rng.sample(span, min(len(span), rng.randint(2, 4))))
        halves = [(420, 960), (480, 690), (780, 960)]
        return tuple(_window(on, *rng.choice(halves)) for on in chosen)
    start = rng.choice([480, 540, 600, 660, 780, 840, 900])
    return (_window(rng.randrange(ready, days), start, start + 120),)


def _window(on: int, earliest_min: int, latest_min: int) -> Window:
    return Window(day=day(on), earliest_min=earliest_min, latest_min=latest_min)
