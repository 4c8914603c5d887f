"""What is loaded, what it leans on, and what goes wrong costs."""

from dataclasses import dataclass, fields

from crewjobs.domain.facts import CutoutKind, Piece, at_least, more_than_zero
from crewjobs.domain.pieces import mass_kg

LEAVES_RAILS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK, CutoutKind.COOKTOP})


@dataclass(frozen=True, kw_only=True, slots=True)
class Item:
    """One piece on edge: along the truck, up, and towards the frame."""

    name: str
    length_mm: float
    height_mm: float
    thickness_mm: float
    mass_kg: float
    stop: int
    """1 is the first stop."""
    order: int = 0
    """When it is set at its stop: the lower comes off first, equal ones in any order."""
    low_rail_mm: float | None = None
    """The stone under its cutouts as drawn, None without one."""
    high_rail_mm: float | None = None
    """And above them."""

    def __post_init__(self) -> None:
        for name in ("length_mm", "height_mm", "thickness_mm", "mass_kg"):
            more_than_zero(name, getattr(self, name))
        if (self.low_rail_mm is None) != (self.high_rail_mm is None):
            raise ValueError(f"{self.name}: one rail beside a cutout is known, the other is not")

    @property
    def is_turned_over(self) -> bool:
        """Whether it stands upside down, so that the weaker rail is above."""
        return (self.high_rail_mm or 0) > (self.low_rail_mm or 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Frame:
    """A double-sided A-frame; each figure is the shop's own, none is measured."""

    length_mm: float = 3300.0
    height_mm: float = 1700.0
    depth_mm: float = 400.0
    """Of the stack on one side, its pads included."""
    pad_mm: float = 12.0
    payload_kg: float = 1500.0
    side_kg: float = 900.0
    free_overhang_mm: float = 150.0
    """So much over the piece behind costs nothing."""
    most_overhang_mm: float = 500.0
    """Beyond it a piece may not lean. Stricter shops re-handle more: the plan shows both."""
    free_imbalance_kg: float = 60.0
    most_imbalance_kg: float = 350.0
    """Between the sides, on departure and after each stop."""
    rack_height_mm: float = 0.0
    """Pieces up to this high stand in a rack of their own; 0: there is none."""
    rack_kg: float = 100.0
    """What the rack bears."""

    def __post_init__(self) -> None:
        for name in (each.name for each in fields(self)):
            at_least(name, getattr(self, name), 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """In minutes; guesses, not measured."""

    rehandle_min: float = 2.0
    """To take one piece off and put it back at a stop, because another stands behind it."""
    rehandle_per_kg: float = 0.02
    set_aside_min: float = 0.5
    """To lean a piece somewhere because one that is set before it stands behind it."""
    overhang_per_m: float = 6.0
    imbalance_per_kg: float = 0.01


def item_of(piece: Piece, *, stop: int, order: int = 0) -> Item:
    """A piece as it stands on the frame, its longer side down.

    Examples
    --------
    >>> top = Piece(name="A", outline_mm=((0, 0), (2440, 0), (2440, 650), (0, 650)),
    ...             thickness_mm=30)
    >>> round(item_of(top, stop=1).mass_kg, 1)
    114.2
    """
    axis = 1 if piece.length_mm >= piece.depth_mm else 0
    places = [point[axis] for point in piece.outline_mm]
    low, high = min(places), max(places)
    reach = [
        (middle - size / 2, middle + size / 2)
        for hole in piece.cutouts
        if hole.kind in LEAVES_RAILS
        for middle, size in [((hole.x_mm, hole.width_mm), (hole.y_mm, hole.height_mm))[axis]]
    ]
    return Item(
        name=piece.name,
        length_mm=max(piece.length_mm, piece.depth_mm),
        height_mm=min(piece.length_mm, piece.depth_mm),
        thickness_mm=piece.thickness_mm,
        mass_kg=mass_kg(piece),
        stop=stop,
        order=order,
        low_rail_mm=min(start for start, _ in reach) - low if reach else None,
        high_rail_mm=high - max(end for _, end in reach) if reach else None,
    )
