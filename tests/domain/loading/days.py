"""Invented days of a truck: islands, tops and vanities for a few stops."""

from random import Random

from crewjobs.domain.loading import Frame, Item

ROOMY = Frame(depth_mm=700, payload_kg=3000, side_kg=1500)


def random_day(rng: Random, count: int, stops: int = 3) -> list[Item]:
    return [_item(rng, f"P{n}", 1 + n * stops // count) for n in range(count)]


def _item(rng: Random, name: str, stop: int) -> Item:
    kind = rng.random()
    if kind < 0.25:
        length, height = rng.uniform(1500, 2900), rng.uniform(850, 1250)
    elif kind < 0.8:
        length, height = rng.uniform(650, 3000), 648.0
    elif kind < 0.95:
        length, height = rng.uniform(560, 1500), 560.0
    else:
        length, height = rng.uniform(560, 2400), 100.0
    thickness = 30.0 if rng.random() < 0.75 else 20.0
    has_sink = rng.random() < 0.4
    return Item(
        name=name,
        length_mm=length,
        height_mm=height,
        thickness_mm=thickness,
        mass_kg=length * height * thickness * 2.4e-6,
        stop=stop,
        order=rng.randint(0, 2),
        low_rail_mm=rng.uniform(60, 120) if has_sink else None,
        high_rail_mm=rng.uniform(60, 120) if has_sink else None,
    )


def random_frame(rng: Random) -> Frame:
    """From generous to far too small."""
    return Frame(
        length_mm=rng.choice((2500, 3300)),
        height_mm=rng.choice((1000, 1700)),
        depth_mm=rng.uniform(100, 500),
        payload_kg=rng.uniform(300, 1800),
        side_kg=rng.uniform(200, 900),
        most_overhang_mm=rng.choice((100, 300, 500, 900)),
        most_imbalance_kg=rng.uniform(30, 350),
        rack_height_mm=rng.choice((0, 150, 600)),
        rack_kg=rng.uniform(0, 60),
    )
