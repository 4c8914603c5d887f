"""One piece lying flat, its front below, with its measures."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from crewjobs.domain import rails
from crewjobs.domain.drawings import stone
from crewjobs.domain.drawings.shapes import (
    Anchor,
    Drawing,
    Lettering,
    Line,
    Role,
    Shape,
    Words,
    measured,
    wide_mm,
)
from crewjobs.domain.drawings.sheets import on_sheet, written
from crewjobs.domain.facts import Cutout, Piece, Point
from crewjobs.domain.limits import USUAL, Limits
from crewjobs.domain.outlines import box_mm
from crewjobs.domain.pieces import centre_of_gravity_mm, mass_kg

ROW = 1.75
"""Between two rows of measures, in letters."""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Measure:
    """A length along one axis, from a place to a place."""

    start_mm: float
    end_mm: float
    text: str


def piece(
    of: Piece, lettering: Lettering, *, longest_mm: float = 0.0, limits: Limits = USUAL
) -> Drawing:
    """A piece with its measures; `longest_mm` is that of a job, to draw all its pieces alike."""
    letter_mm = lettering.high_mm(longest_mm or max(of.length_mm, of.depth_mm))
    grip, marks = stone.grips(of, letter_mm, limits)
    shapes = [
        *stone.flat(of, letter_mm, limits),
        *marks,
        *stone.balance(of, letter_mm),
        *_across(of, lettering, letter_mm, grip),
        *_up(of, lettering, letter_mm),
    ]
    title = f"{of.name}, {lettering.mass(mass_kg(of))}"
    (left, _), (_, high) = box_mm(of.outline_mm)
    shapes.append(
        Words(
            text=title,
            at_mm=(left, high + letter_mm * 0.7),
            role=Role.NAME,
            anchor=Anchor.START,
        )
    )
    shapes += _notes(of, lettering, letter_mm, shapes, limits)
    return on_sheet(
        shapes,
        letter_mm=letter_mm,
        title=f"Piece {of.name}, {lettering.extent(of.length_mm)} by "
        f"{lettering.extent(of.depth_mm)}, {lettering.mass(mass_kg(of))}",
        description=" ".join(_described(of, lettering, grip, limits)),
    )


def _across(of: Piece, lettering: Lettering, letter_mm: float, grip_mm: float) -> Iterator[Shape]:
    """Below it: where cutouts begin and how wide they are, the grips, and the whole length."""
    (left, low), (right, _) = box_mm(of.outline_mm)
    wanted = []
    for cutout in _large(of):
        start, end = cutout.x_mm - cutout.width_mm / 2, cutout.x_mm + cutout.width_mm / 2
        wanted += [(left, start, ""), (start, end, "")]
    if grip_mm and of.length_mm >= of.depth_mm:
        wanted.append((left, left + grip_mm, "grip "))
    spans = [_span(span, lettering) for span in wanted]
    rows = [*_packed(spans, letter_mm), [_span((left, right, ""), lettering)]]
    for place in sorted({each.end_mm for row in rows[:-1] for each in row}):
        yield Line(
            points_mm=((place, low), (place, low - len(rows) * ROW * letter_mm)),
            role=Role.EXTENSION,
        )
    for number, row in enumerate(rows, start=1):
        y = low - number * ROW * letter_mm
        for each in row:
            yield from measured((each.start_mm, y), (each.end_mm, y), each.text, letter_mm)


def _up(of: Piece, lettering: Lettering, letter_mm: float) -> Iterator[Shape]:
    """Right of it: the stone before, the hole, the stone behind; and the whole depth."""
    (_, low), (right, high) = box_mm(of.outline_mm)
    chains: list[list[Point]] = []
    for cutout in _large(of):
        front, back = cutout.y_mm - cutout.height_mm / 2, cutout.y_mm + cutout.height_mm / 2
        chain = [(low, front), (front, back), (back, high)]
        if chain not in chains:
            chains.append(chain)
    x = right + letter_mm
    for chain in [*chains, [(low, high)]]:
        texts = [lettering.extent(end - start) for start, end in chain]
        for (start, end), text in zip(chain, texts, strict=True):
            *lines, _ = measured((x, start), (x, end), text, letter_mm)
            yield from lines
            spot = x + letter_mm * 0.5, (start + end) / 2 - letter_mm * 0.35
            yield Words(text=text, at_mm=spot, role=Role.DIMENSION, anchor=Anchor.START)
        x += letter_mm * 1.2 + max(wide_mm(text, letter_mm) for text in texts)


def _large(of: Piece) -> list[Cutout]:
    return [cutout for cutout in of.cutouts if cutout.kind in rails.LARGE]


def _span(span: tuple[float, float, str], lettering: Lettering) -> _Measure:
    start, end, said = span
    return _Measure(start_mm=start, end_mm=end, text=said + lettering.extent(end - start))


def _packed(spans: Iterable[_Measure], letter_mm: float) -> list[list[_Measure]]:
    """Measures in as few rows as their words allow."""
    rows: list[list[_Measure]] = []
    for span in spans:
        row = next((r for r in rows if all(_is_apart(span, o, letter_mm) for o in r)), None)
        if row is None:
            rows.append([span])
        elif span not in row:
            row.append(span)
    return rows


def _is_apart(first: _Measure, second: _Measure, letter_mm: float) -> bool:
    (a, b), (c, d) = _room(first, letter_mm), _room(second, letter_mm)
    return b <= c or d <= a or first == second


def _room(span: _Measure, letter_mm: float) -> Point:
    middle, half = (span.start_mm + span.end_mm) / 2, wide_mm(span.text, letter_mm) / 2
    return min(span.start_mm, middle - half), max(span.end_mm, middle + half)


def _notes(
    of: Piece, lettering: Lettering, letter_mm: float, drawn: list[Shape], limits: Limits
) -> Iterator[Shape]:
    """What the measures do not say, in lines under everything that is drawn."""
    (left, _), (right, _) = box_mm(of.outline_mm)
    low = min(y for shape in drawn if isinstance(shape, Line) for _, y in shape.points_mm)
    start = left, low - 0.4 * letter_mm
    return written(_said(of, lettering, limits), start, right - left, letter_mm)


def _said(of: Piece, lettering: Lettering, limits: Limits) -> Iterator[tuple[str, Role]]:
    extent = lettering.extent
    for cutout in _large(of):
        where = ", cut on site" if cutout.is_made_on_site else ""
        radius = cutout.corner_radius_mm
        corners = f", corners of {extent(radius)}" if radius else ""
        size = f"{extent(cutout.width_mm)} by {extent(cutout.height_mm)}"
        yield f"{cutout.kind} {size}{corners}{where}", Role.NOTE
        if stone.weak(of, cutout, limits):
            yield f"weak rail beside the {cutout.kind}: {rails.CAUTION}", Role.WARNING
    yield from ((each, Role.NOTE) for each in _small(of, lettering))
    if of.finished_edge_mm and not stone.finished_edges(of):
        yield f"{extent(of.finished_edge_mm)} of finished edge; which is not known", Role.NOTE


def _small(of: Piece, lettering: Lettering) -> Iterator[str]:
    """Holes for taps and the like: across, and where from the left and the front."""
    (left, low), _ = box_mm(of.outline_mm)
    for cutout in of.cutouts:
        if cutout.kind in rails.LARGE:
            continue
        where = ", drilled on site" if cutout.is_made_on_site else ""
        across, up = (lettering.extent(mm) for mm in (cutout.x_mm - left, cutout.y_mm - low))
        size = lettering.extent(cutout.width_mm)
        yield f"{cutout.kind} {size}: {across} from the left, {up} from the front{where}"


def _described(of: Piece, lettering: Lettering, grip_mm: float, limits: Limits) -> Iterator[str]:
    """The drawing in words."""
    extent = lettering.extent
    (left, low), _ = box_mm(of.outline_mm)
    yield f"Lying flat, front below; {len(of.outline_mm)} corners."
    for cutout in _large(of):
        yield (
            f"The middle of the {cutout.kind} is {extent(cutout.x_mm - left)} from the left and "
            f"{extent(cutout.y_mm - low)} from the front."
        )
    yield from (f"{note[0].upper()}{note[1:]}." for note, _ in _said(of, lettering, limits))
    x, y = centre_of_gravity_mm(of)
    yield f"It balances {extent(x - left)} from the left and {extent(y - low)} from the front."
    if grip_mm:
        yield f"Held best {extent(grip_mm)} from either end."
    else:
        yield "No place to grip is clear of the cutouts."
