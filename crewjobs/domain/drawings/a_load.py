"""A loaded A-frame: from behind, and each side with its pieces drawn apart, innermost first.

The lean of the frame is drawn, not known; lengths, heights and thicknesses are to scale.
"""

from collections.abc import Iterator, Mapping
from math import cos, radians, sin

from crewjobs.domain.drawings import stone
from crewjobs.domain.drawings.shapes import (
    Anchor,
    Corners,
    Drawing,
    Lettering,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
    box,
)
from crewjobs.domain.drawings.sheets import arranged, on_sheet, written
from crewjobs.domain.facts import Cutout, Piece, Point
from crewjobs.domain.loading import Frame, LoadPlan, Place
from crewjobs.domain.loading.plans import Facing

LEAN_DEG = 8.0
"""Only for the picture."""
CLOSE = 1.5
"""The view from behind is drawn so much larger than the sides."""
DIGIT_LETTERS = 1.5
"""Between two numbers over a stack."""


def load(
    plan: LoadPlan, frame: Frame, lettering: Lettering, pieces: Mapping[str, Piece] | None = None
) -> Drawing:
    """Both sides of a load; with the pieces by their items' names, their cutouts too."""
    known = pieces or {}
    letter_mm = _letter_mm(frame, lettering)
    sides = {
        name: _in_line(places, known, frame, lettering, f"{name.capitalize()} side")
        for name, places in (("left", plan.left), ("right", plan.right))
    }
    parts = [list(_from_behind(plan, frame, letter_mm)), *sides.values()]
    return on_sheet(
        arranged(parts, letter_mm, is_narrow=lettering.is_narrow),
        letter_mm=letter_mm,
        title=f"Load of {len(plan.left) + len(plan.right)} pieces",
        description=" ".join(_described(plan, lettering)) or "Nothing is loaded.",
    )


def _letter_mm(frame: Frame, lettering: Lettering) -> float:
    """Larger where both sides stand beside each other."""
    share = 1.0 if lettering.is_narrow else 4 / 3
    return lettering.high_mm(share * max(frame.length_mm, frame.height_mm))


def _from_behind(plan: LoadPlan, frame: Frame, letter_mm: float) -> Iterator[Shape]:
    """The frame as a narrow A and both stacks, each piece as thick as it is."""
    lean = radians(LEAN_DEG)
    half, top = CLOSE * frame.height_mm * sin(lean), CLOSE * frame.height_mm * cos(lean)
    foot = CLOSE * max(frame.depth_mm, *plan.thickness_mm)
    over = max(top, *(CLOSE * place.item.height_mm for place in plan.left + plan.right), 0.0)
    yield Words(text="From behind", at_mm=(0, over + letter_mm * 3.5), role=Role.NAME)
    for side, places in ((-1.0, plan.left), (1.0, plan.right)):
        foot_mm = side * half, 0.0
        yield Line(points_mm=((0, top), foot_mm, (side * (half + foot), 0)), role=Role.FRAME)
        out = half
        for number, place in enumerate(places, start=1):
            label = side * letter_mm * (1 + (number - 1) * DIGIT_LETTERS), over + letter_mm * 1.2
            yield from _slab(place, (side, out + CLOSE * frame.pad_mm), number, label)
            out += CLOSE * (frame.pad_mm + place.item.thickness_mm)
        name = ("left" if side < 0 else "right") if places else "empty"
        yield Words(text=name, at_mm=(side * (half + foot / 2), -letter_mm * 1.5))


def _slab(place: Place, foot: tuple[float, float], number: int, label: Point) -> Iterator[Shape]:
    """One piece on edge, leaning, its finished face thick, its number over it."""
    side, from_mm = foot
    high, thick = CLOSE * place.item.height_mm, CLOSE * place.item.thickness_mm
    across, up = sin(radians(LEAN_DEG)), cos(radians(LEAN_DEG))

    def at(out_mm: float, up_mm: float) -> Point:
        return side * (from_mm + out_mm - up_mm * across), up_mm * up

    yield Line(points_mm=(at(thick / 2, high), label), role=Role.EXTENSION)
    corners = (at(0, 0), at(thick, 0), at(thick, high), at(0, high))
    yield Polygon(corners_mm=corners, role=Role.STONE)
    face = thick if place.facing is Facing.OUT else 0.0
    yield Line(points_mm=(at(face, 0), at(face, high)), role=Role.FACE)
    yield Words(text=str(number), at_mm=label)


def _in_line(
    places: tuple[Place, ...],
    known: Mapping[str, Piece],
    frame: Frame,
    lettering: Lettering,
    title: str,
) -> list[Shape]:
    """The pieces of one side as they stand, one below the other."""
    letter_mm = _letter_mm(frame, lettering)
    shapes: list[Shape] = [
        Words(text=title, at_mm=(0, letter_mm), role=Role.NAME, anchor=Anchor.START)
    ]
    if not places:
        shapes.append(Words(text="empty", at_mm=(0, -letter_mm), anchor=Anchor.START))
    low = -letter_mm * 0.5
    for number, place in enumerate(places, start=1):
        low -= place.item.height_mm
        shapes += _standing(place, known.get(place.item.name), frame, low)
        words = list(written(_told(number, place, lettering), (0, low), frame.length_mm, letter_mm))
        shapes += words
        low = words[-1].at_mm[1]
        low -= letter_mm
    return shapes


def _standing(place: Place, piece: Piece | None, frame: Frame, low_mm: float) -> Iterator[Shape]:
    """One piece on its longer edge, in the middle of the frame's length."""
    item = place.item
    left = (frame.length_mm - item.length_mm) / 2

    def there(points: Corners) -> Corners:
        return tuple((left + x, low_mm + y) for x, y in points)

    if piece is None:
        yield box(left, low_mm, left + item.length_mm, low_mm + item.height_mm, Role.STONE)
    else:
        turned = on_edge(piece, is_turned_over=item.is_turned_over)
        yield Polygon(corners_mm=there(turned.outline_mm), role=Role.STONE)
        for cutout in turned.cutouts:
            role = Role.SITE_CUTOUT if cutout.is_made_on_site else Role.CUTOUT
            yield Polygon(corners_mm=there(stone.cutout_outline(cutout)), role=role)
    yield Line(points_mm=((0, low_mm), (frame.length_mm, low_mm)), role=Role.FRAME)


def on_edge(piece: Piece, *, is_turned_over: bool) -> Piece:
    """A piece as it stands on its longer edge: x along the truck, y up, from the origin.

    Examples
    --------
    >>> tall = Piece(name="A", outline_mm=((0, 0), (600, 0), (600, 2000), (0, 2000)),
    ...              thickness_mm=30)
    >>> on_edge(tall, is_turned_over=False).length_mm
    2000.0
    """
    left = min(x for x, _ in piece.outline_mm)
    low = min(y for _, y in piece.outline_mm)
    is_along = piece.length_mm >= piece.depth_mm
    long, high = sorted((piece.length_mm, piece.depth_mm), reverse=True)

    def stands(point: Point) -> Point:
        x, y = point[0] - left, point[1] - low
        along, up = (x, y) if is_along else (y, x)
        return (long - along, high - up) if is_turned_over else (float(along), float(up))

    def hole(cutout: Cutout) -> Cutout:
        x, y = stands((cutout.x_mm, cutout.y_mm))
        size = (cutout.width_mm, cutout.height_mm)
        wide, tall = size if is_along else size[::-1]
        return Cutout(
            kind=cutout.kind, x_mm=x, y_mm=y, width_mm=wide, height_mm=tall,
            corner_radius_mm=cutout.corner_radius_mm, is_made_on_site=cutout.is_made_on_site,
        )  # fmt: skip

    return Piece(
        name=piece.name,
        outline_mm=tuple(stands(point) for point in piece.outline_mm),
        thickness_mm=piece.thickness_mm,
        density_kg_m3=piece.density_kg_m3,
        cutouts=tuple(hole(cutout) for cutout in piece.cutouts),
    )


def _told(number: int, place: Place, lettering: Lettering) -> Iterator[tuple[str, Role]]:
    """What stands under a piece."""
    item, extent = place.item, lettering.extent
    yield f"{number}. {item.name}", Role.NAME
    size = f"{extent(item.length_mm)} by {extent(item.height_mm)}"
    said = f"stop {item.stop}, {size}, {lettering.mass(item.mass_kg)}, {place.facing}"
    if item.is_turned_over:
        said += ", upside down"
    if place.overhang_mm:
        said += f", {extent(place.overhang_mm)} over the one behind"
    yield said, Role.NOTE
    if place.rehandles:
        times = "once" if place.rehandles == 1 else f"{place.rehandles} times"
        yield f"taken off and put back {times}", Role.WARNING
    if place.is_set_aside:
        yield "set aside at its stop", Role.WARNING


def _described(plan: LoadPlan, lettering: Lettering) -> Iterator[str]:
    for name, places in (("Left", plan.left), ("Right", plan.right)):
        if places:
            yield f"{name}, innermost first:"
        for number, place in enumerate(places, start=1):
            said = ", ".join(line for line, _ in _told(number, place, lettering))
            yield f"{said}."
