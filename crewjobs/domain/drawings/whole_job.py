"""The whole job from above: its pieces where they lie, their seams, sinks and cooktops."""

from collections.abc import Iterable, Iterator
from itertools import product

from crewjobs.domain.drawings import stone
from crewjobs.domain.drawings.layouts import Placed, overlaps, placed, seam_line
from crewjobs.domain.drawings.shapes import (
    Corners,
    Drawing,
    Lettering,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
    wide_mm,
)
from crewjobs.domain.drawings.sheets import on_sheet, reach_mm, written
from crewjobs.domain.facts import PieceKind, Point, Seam, Work
from crewjobs.domain.outlines import box_mm, is_inside

SPOTS = (6, 12)
"""Places that are tried for a piece's name: across and along."""
DERIVED = "derived from the seams and sizes, no plan of the room: nobody has told where each lies"
PARTLY = "partly derived from the seams and sizes: not every place was told"


def layout(work: Work, lettering: Lettering) -> Drawing:
    """All pieces of a job with their seams; what was not told where it lies is derived."""
    found = placed(work)
    spots = tuple(spot for each in found for spot in each.outline_mm) or ((0.0, 0.0),)
    (left, low), (right, high) = box_mm(spots)
    letter_mm = lettering.high_mm(max(right - left, high - low, 1.0))
    shapes: list[Shape] = [shape for each in found for shape in _flat(each, letter_mm)]
    shapes += [shape for seam in work.seams for shape in _seam(seam, found, letter_mm)]
    shapes += [_named(each, letter_mm) for each in found]
    said = list(_said(work, found, lettering))
    (left, low), (right, _) = reach_mm(shapes, letter_mm) if shapes else ((0, 0), (0, 0))
    shapes += written(said, (left, low - letter_mm / 2), right - left, letter_mm)
    return on_sheet(
        shapes,
        letter_mm=letter_mm,
        title=f"Layout of {len(found)} pieces and {len(work.seams)} seams",
        description=" ".join(f"{text[0].upper()}{text[1:]}." for text, _ in said),
    )


def _flat(of: Placed, letter_mm: float) -> Iterator[Shape]:
    yield Polygon(corners_mm=of.outline_mm, role=Role.STONE)
    for cutout in of.piece.cutouts:
        role = Role.SITE_CUTOUT if cutout.is_made_on_site else Role.CUTOUT
        corners = of.there(stone.cutout_outline(cutout))
        yield Polygon(corners_mm=corners, role=role)
        (left, low), (right, high) = box_mm(corners)
        word = stone.SHORT_WORDS.get(cutout.kind, "")
        if word and wide_mm(word, letter_mm) < right - left and high - low > 1.4 * letter_mm:
            spot = (left + right) / 2, (low + high) / 2 - 0.35 * letter_mm
            yield Words(text=word, at_mm=spot)
    for edge in stone.finished_edges(of.piece):
        yield Line(points_mm=of.there(edge), role=Role.FINISHED)


def _named(of: Placed, letter_mm: float) -> Words:
    """A piece's name on its stone, clear of its cutouts; above it where there is no room."""
    text = of.piece.name
    if of.piece.kind in (PieceKind.BACKSPLASH, PieceKind.WATERFALL):
        text += f", {of.piece.kind}"
    half, high = wide_mm(text, letter_mm) / 2 + 0.3 * letter_mm, letter_mm * 1.2
    holes = [of.there(stone.cutout_outline(cutout)) for cutout in of.piece.cutouts]
    for x, y in _spots(of.outline_mm):
        room = (
            (x - half, y - high / 2), (x + half, y - high / 2),
            (x + half, y + high / 2), (x - half, y + high / 2),
        )  # fmt: skip
        if _is_inside(room, of.outline_mm) and not any(overlaps(room, hole) for hole in holes):
            return Words(text=text, at_mm=(x, y - 0.35 * letter_mm), role=Role.NAME)
    (left, _), (right, top) = box_mm(of.outline_mm)
    return Words(text=text, at_mm=((left + right) / 2, top + 0.4 * letter_mm), role=Role.NAME)


def _spots(outline: Corners) -> list[Point]:
    """Places on a piece, those nearest to its middle first."""
    (left, low), (right, high) = box_mm(outline)
    x, y = (left + right) / 2, (low + high) / 2
    down, along = SPOTS
    spots = [
        (left + (right - left) * column / along, low + (high - low) * row / down)
        for row, column in product(range(1, down), range(1, along))
    ]
    return sorted(spots, key=lambda spot: (abs(spot[0] - x) + abs(spot[1] - y), spot))


def _is_inside(room: Corners, outline: Corners) -> bool:
    """Whether a rectangle lies on the stone."""
    (left, low), (right, high) = box_mm(room)
    middles = ((left, (low + high) / 2), (right, (low + high) / 2), ((left + right) / 2, low))
    return all(is_inside(spot, outline) for spot in (*room, *middles))


def _seam(seam: Seam, found: Iterable[Placed], letter_mm: float) -> Iterator[Shape]:
    line = _line(seam, found)
    if line is None:
        return
    (ax, ay), (bx, by) = line
    yield Line(points_mm=line, role=Role.SEAM)
    is_upright = abs(by - ay) > abs(bx - ax)
    off = letter_mm * 0.4
    middle = (ax + bx) / 2 - (off if is_upright else 0), (ay + by) / 2 + (0 if is_upright else off)
    turn_deg = 90.0 if is_upright else 0.0
    yield Words(text=seam.name, at_mm=middle, role=Role.SEAM, turn_deg=turn_deg)


def _line(seam: Seam, found: Iterable[Placed]) -> tuple[Point, Point] | None:
    by_name = {each.piece.name: each for each in found}
    return seam_line(by_name[seam.first], by_name[seam.second])


def _said(
    work: Work, found: tuple[Placed, ...], lettering: Lettering
) -> Iterator[tuple[str, Role]]:
    """The seams, each with what is known of it, and how far the layout can be relied on."""
    if not found:
        yield "no sizes yet", Role.NOTE
    for seam in work.seams:
        yield _told(seam, lettering, is_drawn=_line(seam, found) is not None), Role.NOTE
    if work.has_dishwasher:
        yield "a dishwasher stands in the run", Role.NOTE
    told = [each.is_told for each in found]
    if len(found) > 1 and not all(told):
        yield PARTLY if any(told) else DERIVED, Role.NOTE


def _told(seam: Seam, lettering: Lettering, *, is_drawn: bool) -> str:
    known = [
        f"seam {seam.name} of {seam.first} and {seam.second}: {lettering.extent(seam.length_mm)}",
        str(seam.method),
        seam.adhesive,
        "over a dishwasher" if seam.is_over_dishwasher else "",
        f"{lettering.extent(seam.to_sink_mm)} to the sink" if seam.to_sink_mm is not None else "",
        "" if is_drawn else "not drawn, for the pieces lie apart",
    ]
    return ", ".join(each for each in known if each)
