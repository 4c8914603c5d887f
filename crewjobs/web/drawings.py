"""Drawings as SVG: shapes in millimetres brought to units in which a letter is always as high.

Knows how to write shapes down, in a page or in a file of their own; refuses to know what they show.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.http import HttpResponse
from django.template.loader import render_to_string
from django.utils.text import slugify

from crewjobs.domain.drawings import (
    PENS,
    Circle,
    Drawing,
    Fill,
    Ink,
    Lettering,
    Line,
    Pen,
    Polygon,
    Shape,
    Words,
)
from crewjobs.domain.facts import Point
from crewjobs.models import Shop
from crewjobs.web.wording import extent, mass

LETTER = 13
"""The height of a letter, in units of the drawing and pixels of a page."""
WIDE, NARROW = 44, 18
"""Letters to the longest side: at a desk, and on a phone."""
FILLS = {Fill.NONE: "none", Fill.PAPER: "#fff", Fill.STONE: "#e4e4e4", Fill.INK: "#222"}
INKS = {Ink.INK: "#000", Ink.FAINT: "#444", Ink.ACCENT: "#000"}
"""In a file of its own, where no sheet of styles reaches."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Mark:
    """One shape on the sheet; y runs down."""

    tag: str
    pen: Pen
    points: str = ""
    x: str = ""
    y: str = ""
    radius: str = ""
    text: str = ""
    anchor: str = ""
    turn: str = ""

    @property
    def weight(self) -> str:
        """Of its line."""
        return f"{self.pen.weight_factor * LETTER:.2f}"

    @property
    def dash(self) -> str:
        """Of its line; empty for a whole one."""
        return f"{self.pen.dash_factor * LETTER:.1f}" if self.pen.dash_factor else ""

    @property
    def fill(self) -> str:
        """As an attribute, where no sheet of styles reaches."""
        return INKS[self.pen.ink] if self.text else FILLS[self.pen.fill]

    @property
    def stroke(self) -> str:
        """As an attribute, where no sheet of styles reaches."""
        return INKS[self.pen.ink]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """A drawing as a template writes it."""

    ident: str
    """Once on a page."""
    width: int
    height: int
    marks: tuple[Mark, ...]
    title: str
    description: str


def sheet(drawing: Drawing, ident: str) -> Sheet:
    """The drawing in units."""
    return Sheet(
        ident=slugify(ident),
        width=round(drawing.width_mm * LETTER / drawing.letter_mm),
        height=round(drawing.height_mm * LETTER / drawing.letter_mm),
        marks=tuple(_mark(shape, drawing) for shape in drawing.shapes),
        title=drawing.title,
        description=drawing.description,
    )


def lettering(shop: Shop, letters: int = WIDE) -> Lettering:
    """How this shop writes lengths and masses."""
    return Lettering(
        extent=lambda value_mm: extent(value_mm, shop),
        mass=lambda value_kg: mass(value_kg, shop),
        letters=letters,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class OnPage:
    """A drawing twice: for a desk, and with larger letters for a phone."""

    wide: Sheet
    narrow: Sheet


def on_page(make: Callable[[Lettering], Drawing | None], shop: Shop, ident: str) -> OnPage | None:
    """A drawing for both widths, if there is one; its ident is once on a page."""
    wide, narrow = make(lettering(shop)), make(lettering(shop, NARROW))
    if wide is None or narrow is None:
        return None
    return OnPage(wide=sheet(wide, ident), narrow=sheet(narrow, f"{ident} narrow"))


def as_file(drawing: Drawing) -> HttpResponse:
    """The drawing as an SVG file, in black on white."""
    text = render_to_string(
        "crewjobs/drawing.svg", {"drawing": sheet(drawing, "drawing"), "is_plain": True}
    )
    return HttpResponse(text, content_type="image/svg+xml; charset=utf-8")


def _mark(shape: Shape, drawing: Drawing) -> Mark:
    pen = PENS[shape.role]
    match shape:
        case Polygon(corners_mm=corners):
            return Mark(tag="polygon", pen=pen, points=_points(corners, drawing))
        case Line(points_mm=points):
            return Mark(tag="polyline", pen=pen, points=_points(points, drawing))
        case Circle(middle_mm=middle, radius_mm=radius):
            x, y = _spot(middle, drawing)
            size = radius * LETTER / drawing.letter_mm
            return Mark(tag="circle", pen=pen, x=x, y=y, radius=f"{size:.1f}")
        case Words(text=text, at_mm=at, anchor=anchor, turn_deg=turn):
            x, y = _spot(at, drawing)
            turned = f"{-turn:g}" if turn else ""
            return Mark(tag="text", pen=pen, x=x, y=y, text=text, anchor=str(anchor), turn=turned)


def _spot(at_mm: Point, drawing: Drawing) -> tuple[str, str]:
    scale = LETTER / drawing.letter_mm
    return f"{at_mm[0] * scale:.1f}", f"{(drawing.height_mm - at_mm[1]) * scale:.1f}"


def _points(points: Iterable[Point], drawing: Drawing) -> str:
    return " ".join(",".join(_spot(point, drawing)) for point in points)
