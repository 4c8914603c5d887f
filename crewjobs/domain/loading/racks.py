"""Which pieces stand in a rack for small ones, where each can be reached at any stop."""

from collections.abc import Iterable

from crewjobs.domain.loading.frames import Frame, Item

Share = tuple[list[Item], list[Item]]


def shared(items: Iterable[Item], frame: Frame) -> Share:
    """What leans on the frame, and what stands in the rack: the lightest low pieces that it bears.

    Examples
    --------
    >>> low, top = (
    ...     Item(name=f"{high} high", length_mm=2000, height_mm=high, thickness_mm=20, mass_kg=20,
    ...          stop=1)
    ...     for high in (100, 650)
    ... )
    >>> leaning, rack = shared([low, top], Frame(rack_height_mm=150))
    >>> [item.name for item in leaning], [item.name for item in rack]
    (['650 high'], ['100 high'])
    >>> len(shared([low, top], Frame())[1])
    0
    """
    left_kg, small = frame.rack_kg, set[str]()
    for item in sorted(items := list(items), key=lambda each: (each.mass_kg, each.name)):
        if _is_low(item, frame) and item.mass_kg <= left_kg:
            left_kg -= item.mass_kg
            small.add(item.name)
    rack = [item for item in items if item.name in small]
    rack.sort(key=lambda item: (item.stop, item.order, item.name))
    return [item for item in items if item.name not in small], rack


def _is_low(item: Item, frame: Frame) -> bool:
    return item.height_mm <= frame.rack_height_mm and item.length_mm <= frame.length_mm
