"""Sheets as PDF, black on white, on the paper that the shop prints on. The one home of reportlab.

Knows how blocks are set in type; refuses to know what they say. The same sheets give the same
bytes: no clock is read.
"""

from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from crewjobs.domain import sheets
from crewjobs.domain.drawings import (
    PENS,
    Anchor,
    Circle,
    Drawing,
    Fill,
    Ink,
    Line,
    Pen,
    Polygon,
    Shape,
    Words,
)
from crewjobs.domain.sheets import Blank, Block, Facts, Pictures, Points, Sheet

FONTS = Path(__file__).parent / "fonts"
PLAIN, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
MARGIN = 14 * mm
FOOT = 9 * mm
TICK = "\u2610"
"""A box to tick."""
GREYS = {Ink.INK: 0.0, Ink.FAINT: 0.35, Ink.ACCENT: 0.0}
FILLS = {Fill.PAPER: 1.0, Fill.STONE: 0.9, Fill.INK: 0.2}
LETTER_PT, LEAST_LETTER_PT = 7.5, 5.5
"""A drawing's letters: as they should be, and as small as they may get to save room."""
GAP = 10.0
"""Between two drawings, and between two columns."""
PAD = 3.0
WITH_TITLE = 30 * mm
"""What of a long table stays with its title at least."""
BISECTIONS = 20
"""To find the width to which wide columns are cut, to a hundredth of a point."""

BODY = ParagraphStyle("body", fontName=PLAIN, fontSize=8.5, leading=11)
STRONG = ParagraphStyle("strong", BODY, fontName=BOLD)
FIGURE = ParagraphStyle("figure", BODY, alignment=2)
HEAD = ParagraphStyle("head", BODY, fontSize=7, leading=8.5)
FIGURE_HEAD = ParagraphStyle("figure head", HEAD, alignment=2)
SMALL = ParagraphStyle("small", BODY, fontSize=7.5, leading=9.5)
TITLE = ParagraphStyle("title", BODY, fontName=BOLD, fontSize=17, leading=21)
UNDER = ParagraphStyle("under", BODY, fontSize=10, leading=13)
SECTION = ParagraphStyle(
    "section", BODY, fontName=BOLD, fontSize=11, leading=14, spaceBefore=9, spaceAfter=2
)


class Paper(StrEnum):
    """What is in the printer."""

    A4 = "A4"
    LETTER = "letter"


SIZES = {Paper.A4: A4, Paper.LETTER: LETTER}


def pdf(found: Sequence[Sheet], paper: Paper = Paper.A4) -> bytes:
    """The sheets as one document, each beginning on a page of its own."""
    _fonts()
    wide, high = SIZES[paper]
    to = BytesIO()
    document = BaseDocTemplate(
        to,
        pagesize=(wide, high),
        title=found[0].heading,
        lang="en",
        invariant=1,
        initialFontName=PLAIN,
    )
    frame = Frame(
        MARGIN, MARGIN + FOOT, wide - 2 * MARGIN, high - 2 * MARGIN - FOOT,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    document.addPageTemplates(PageTemplate(frames=[frame]))
    room = wide - 2 * MARGIN
    story = [flowable for sheet in found for flowable in _sheet(sheet, room)]
    document.build(story[:-1], canvasmaker=_Numbered)
    return to.getvalue()


@cache
def _fonts() -> None:
    """Make the bundled typeface known, once."""
    for name in (PLAIN, BOLD):
        registerFont(TTFont(name, FONTS / f"{name}.ttf"))
    registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


class _Numbered(Canvas):
    """A canvas that writes at each page's foot whose it is, and which of how many."""

    heading = ""

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        self.pages: list[dict[str, object]] = []

    def showPage(self) -> None:  # noqa: N802  the library's name
        """Keep the page until it is known how many there are."""
        self.pages.append(dict(vars(self)))
        self._startPage()  # type: ignore[attr-defined]

    def save(self) -> None:
        """Write the feet, then everything."""
        for number, page in enumerate(self.pages, start=1):
            vars(self).update(page)
            self._foot(f"{number} of {len(self.pages)}")
            super().showPage()
        super().save()

    def _foot(self, said: str) -> None:
        wide, _ = self._pagesize  # type: ignore[attr-defined]
        self.setLineWidth(0.4)
        self.line(MARGIN, MARGIN + FOOT - 6, wide - MARGIN, MARGIN + FOOT - 6)
        self.setFont(PLAIN, 7.5)
        self.drawString(MARGIN, MARGIN, self.heading)
        self.drawRightString(wide - MARGIN, MARGIN, said)


class _Heading(Paragraph):
    """The heading of a sheet, which also stands at the foot of its pages."""

    def __init__(self, text: str) -> None:
        super().__init__(escape(text), TITLE)
        self.said = text

    def draw(self) -> None:
        """Draw it, and let the feet know."""
        self.canv.heading = self.said  # type: ignore[attr-defined]
        super().draw()


def _sheet(sheet: Sheet, room: float) -> Iterator[Flowable]:
    yield _Heading(sheet.heading)
    yield _words(sheet.under, UNDER)
    for block in sheet.blocks:
        yield from _block(block, room)
    yield Spacer(1, 8)
    yield KeepTogether([_words(caution, SMALL) for caution in sheet.cautions])
    yield PageBreak()


def _block(block: Block, room: float) -> Iterator[Flowable]:
    title = [Paragraph(escape(block.title), SECTION)] if block.title else [Spacer(1, 5)]
    match block:
        case Facts():
            body: list[Flowable] = [_facts(block, room)]
        case sheets.Table():
            body = [_table(block, room), *(_words(note, SMALL) for note in block.notes)]
        case Points():
            body = [_points(block, room)]
        case Pictures():
            body = _rows([_Drawn(each, room) for each in block.drawings], room)
        case Blank():
            body = [_Ruled(block.lines, room)]
    if body and _is_short(body[0]):
        yield KeepTogether([*title, body[0]])
        yield from body[1:]
    elif body:
        yield CondPageBreak(WITH_TITLE)
        yield from [*title, *body]


def _is_short(body: Flowable) -> bool:
    """Whether it stays on one page with its title; a longer table runs on over a page's end."""
    return not isinstance(body, Table) or len(body._cellvalues) <= 6  # type: ignore[attr-defined]


class _Set(Paragraph):
    """Words that remember their lines: a table asks three times how high they are."""

    asked: tuple[float, tuple[float, float]] | None = None

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """The width and height that they take."""
        if self.asked is None or self.asked[0] != wide or not hasattr(self, "blPara"):
            self.asked = wide, super().wrap(wide, high)
        return self.asked[1]


def _words(text: str, style: ParagraphStyle) -> Paragraph:
    return _Set(escape(text).replace("\n", "<br/>"), style)


def _facts(block: Facts, room: float) -> Flowable:
    names = max((stringWidth(name, PLAIN, BODY.fontSize) for name, _ in block.rows), default=0)
    first = min(room / 3, names + GAP)
    rows = [[_words(name, BODY), _words(said, STRONG)] for name, said in block.rows]
    return _set(rows, [first, room - first], heads=0)


def _points(block: Points, room: float) -> Flowable:
    words = max((stringWidth(word, BOLD, BODY.fontSize) for word, _ in block.points), default=0)
    first = words + GAP if words else GAP
    rows = [[_words(word or "\u2013", STRONG), _words(said, BODY)] for word, said in block.points]
    return _set(rows, [first, room - first], heads=0)


def _table(block: sheets.Table, room: float) -> Flowable:
    head = (TICK, *block.head) if block.has_ticks else block.head
    shift = int(block.has_ticks)
    rows = [(TICK, *row) if block.has_ticks else row for row in block.rows]
    figures = {at + shift for at in block.figures}
    grows = max((at for at in range(len(head)) if at not in figures), default=0)
    widths = _widths([head, *rows], room, grows)
    styles = [FIGURE if at in figures else BODY for at in range(len(head))]
    if block.has_names and shift not in figures:
        styles[shift] = STRONG
    heads = [FIGURE_HEAD if at in figures else HEAD for at in range(len(head))]
    shown = ["" if cell == TICK else cell for cell in head]
    cells = [[_words(cell, style) for cell, style in zip(shown, heads, strict=True)]]
    cells += [
        [_words(cell, style) for cell, style in zip(row, styles, strict=True)] for row in rows
    ]
    return _set(cells, widths, heads=1)


def _set(cells: list[list[Paragraph]], widths: list[float], *, heads: int) -> Flowable:
    rules: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), GAP / 2),
        ("TOPPADDING", (0, 0), (-1, -1), PAD / 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), PAD),
        ("LINEBELOW", (0, 0), (-1, -1), 0.25, (0.6, 0.6, 0.6)),
        ("LINEABOVE", (0, 0), (-1, 0), 0.8, (0, 0, 0)),
    ]
    if heads:
        rules.append(("LINEBELOW", (0, 0), (-1, 0), 0.6, (0, 0, 0)))
    return Table(
        cells,
        colWidths=widths,
        repeatRows=heads,
        splitInRow=1,
        style=TableStyle(rules),
        hAlign="LEFT",
    )


def _widths(rows: Sequence[Sequence[str]], room: float, grows: int) -> list[float]:
    """The columns' widths: as their words ask for, the widest giving way where there is no room.

    No column becomes narrower than its longest word, as far as all of them have room for that. What
    is left over goes to the column that `grows`.
    """
    columns = [
        [line for cell in column for line in cell.split("\n")] for column in zip(*rows, strict=True)
    ]
    wanted = [max(map(_wide, lines)) + GAP for lines in columns]
    if sum(wanted) <= room:
        wanted[grows] += room - sum(wanted)
        return wanted
    least = [max(_wide(word) for line in lines for word in line.split() or [""]) + GAP
             for lines in columns]  # fmt: skip
    if sum(least) >= room:
        return [width * room / sum(least) for width in least]
    low, high = 0.0, max(wanted)
    for _ in range(BISECTIONS):
        cap = (low + high) / 2
        low, high = (cap, high) if sum(_capped(wanted, least, cap)) <= room else (low, cap)
    found = _capped(wanted, least, low)
    found[grows] += room - sum(found)
    return found


def _capped(wanted: Sequence[float], least: Sequence[float], cap: float) -> list[float]:
    return [max(low, min(want, cap)) for want, low in zip(wanted, least, strict=True)]


@lru_cache(4096)
def _wide(text: str) -> float:
    return stringWidth(text, BOLD, BODY.fontSize)


class _Ruled(Flowable):
    """Lines to write on."""

    STEP = 8 * mm

    def __init__(self, lines: int, room: float) -> None:
        super().__init__()
        self.width, self.height, self.lines = room, lines * self.STEP, lines

    def draw(self) -> None:
        """Draw them."""
        self.canv.setLineWidth(0.4)
        for number in range(self.lines):
            self.canv.line(0, number * self.STEP, self.width, number * self.STEP)


class _Drawn(Flowable):
    """A drawing, its letters as high as the type around it where there is room."""

    def __init__(self, drawing: Drawing, room: float) -> None:
        super().__init__()
        self.drawing = drawing
        self.scale = min(LETTER_PT / drawing.letter_mm, room / drawing.width_mm)
        self.width, self.height = drawing.width_mm * self.scale, drawing.height_mm * self.scale

    def shrunk(self, room: float) -> "_Drawn":
        """The same, no wider than this and no higher than need be."""
        lower = max(HIGHEST / self.height, LEAST_LETTER_PT / self.letter)
        factor = min(1.0, room / self.width, lower, HIGHEST_OF_ALL / self.height)
        self.scale *= factor
        self.width, self.height = self.width * factor, self.height * factor
        return self

    @property
    def letter(self) -> float:
        """The height of its letters, in points."""
        return self.drawing.letter_mm * self.scale

    def draw(self) -> None:
        """Draw its shapes, the first lowest."""
        for shape in self.drawing.shapes:
            self.canv.saveState()
            self._pen(PENS[shape.role])
            self._shape(shape, PENS[shape.role])
            self.canv.restoreState()

    def _pen(self, pen: Pen) -> None:
        self.canv.setStrokeGray(GREYS[pen.ink])
        self.canv.setLineWidth(pen.weight_factor * self.letter)
        if pen.dash_factor:
            dash = pen.dash_factor * self.letter
            self.canv.setDash(dash, dash)
        self.canv.setFillGray(FILLS.get(pen.fill, 1.0))

    def _shape(self, shape: Shape, pen: Pen) -> None:
        is_filled = int(pen.fill is not Fill.NONE)
        match shape:
            case Polygon(corners_mm=corners):
                self._path(corners, is_closed=True, is_filled=is_filled)
            case Line(points_mm=points):
                self._path(points, is_closed=False, is_filled=0)
            case Circle(middle_mm=(x, y), radius_mm=radius):
                self.canv.circle(
                    x * self.scale, y * self.scale, radius * self.scale, fill=is_filled
                )
            case Words():
                self._words(shape, pen)

    def _path(
        self, points: Iterable[tuple[float, float]], *, is_closed: bool, is_filled: int
    ) -> None:
        path = self.canv.beginPath()
        (x, y), *rest = [(x * self.scale, y * self.scale) for x, y in points]
        path.moveTo(x, y)
        for x, y in rest:
            path.lineTo(x, y)
        if is_closed:
            path.close()
        self.canv.drawPath(path, fill=is_filled)

    def _words(self, words: Words, pen: Pen) -> None:
        self.canv.setFillGray(GREYS[pen.ink])
        self.canv.setFont(BOLD if pen.is_bold else PLAIN, self.letter)
        self.canv.translate(words.at_mm[0] * self.scale, words.at_mm[1] * self.scale)
        self.canv.rotate(words.turn_deg)
        write = {
            Anchor.START: self.canv.drawString,
            Anchor.MIDDLE: self.canv.drawCentredString,
            Anchor.END: self.canv.drawRightString,
        }[words.anchor]
        write(0, 0, words.text)


HIGHEST = 90 * mm
"""A drawing is no higher, as long as its letters can be read."""
HIGHEST_OF_ALL = 220 * mm
"""What has room on a page with its title."""


def _rows(drawn: Sequence[_Drawn], room: float) -> list[Flowable]:
    """Drawings in rows, as many side by side as have room."""
    rows: list[list[_Drawn]] = []
    left = 0.0
    for each in drawn:
        each.shrunk(room)
        if each.width + GAP > left:
            rows.append([])
            left = room
        rows[-1].append(each)
        left -= each.width + GAP
    return [_row(row) for row in rows]


def _row(drawn: list[_Drawn]) -> Flowable:
    styles = [
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ]
    widths = [each.width + GAP for each in drawn]
    return Table([drawn], colWidths=widths, style=TableStyle(styles), hAlign="LEFT")
