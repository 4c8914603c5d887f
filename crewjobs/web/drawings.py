"""Drawings of pieces as what a template draws: whole units of the drawing, words in place.

Knows how to bring millimetres to a sheet; the words for lengths are handed in.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from crewjobs.domain.facts import Cutout, Piece
from crewjobs.domain.pieces import centre_of_gravity_mm

SHEET = 360
"""The longest side of the largest piece of a job, in units of the drawing."""
MARGIN = 14
RULE = 34
"""Room for a dimension line and its words."""
LETTER = 9
"""A letter's width where the drawing is small and its words are not."""


class At(NamedTuple):
    """A place on the sheet; y runs down."""

    x: int
    y: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Hole:
    """A cutout on the sheet."""

    x: int
    y: int
    width: int
    height: int
    radius: int
    label: str
    is_made_on_site: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceDrawing:
    """A piece to scale, its dimension lines, its holes and where it balances."""

    width: int
    height: int
    outline: str
    holes: tuple[Hole, ...]
    balance: At
    left: int
    right: int
    top: int
    bottom: int
    length_text: str
    depth_text: str
    title: str

    @property
    def middle(self) -> At:
        """Where the words of the dimension lines stand."""
        return At((self.left + self.right) // 2, (self.top + self.bottom) // 2)

    @property
    def below(self) -> int:
        """The height of the dimension line under the piece."""
        return self.bottom + RULE // 2

    @property
    def beside(self) -> int:
        """The place of the dimension line right of the piece."""
        return self.right + RULE // 2


def units_per_mm(pieces: Sequence[Piece]) -> float:
    """One scale for all the pieces of a job, so that their sizes compare."""
    longest = max((max(p.length_mm, p.depth_mm) for p in pieces), default=1.0)
    return SHEET / longest


def piece(of: Piece, scale: float, words: Callable[[float], str]) -> PieceDrawing:
    """A piece lying flat with its front below, `scale` units of the drawing to the millimetre."""
    left_mm = min(x for x, _ in of.outline_mm)
    back_mm = max(y for _, y in of.outline_mm)

    def at(x_mm: float, y_mm: float) -> At:
        return At(
            MARGIN + round((x_mm - left_mm) * scale), MARGIN + round((back_mm - y_mm) * scale)
        )

    right = MARGIN + round(of.length_mm * scale)
    bottom = MARGIN + round(of.depth_mm * scale)
    length_text, depth_text = words(of.length_mm), words(of.depth_mm)
    return PieceDrawing(
        width=right + RULE + LETTER * len(depth_text),
        height=bottom + RULE + MARGIN,
        outline=" ".join(f"{x},{y}" for x, y in (at(*corner) for corner in of.outline_mm)),
        holes=tuple(_hole(cutout, at(cutout.x_mm, cutout.y_mm), scale) for cutout in of.cutouts),
        balance=at(*centre_of_gravity_mm(of)),
        left=MARGIN,
        right=right,
        top=MARGIN,
        bottom=bottom,
        length_text=length_text,
        depth_text=depth_text,
        title=f"Piece {of.name}, {length_text} by {depth_text}, {len(of.cutouts)} cutouts",
    )


def _hole(of: Cutout, middle: At, scale: float) -> Hole:
    label = of.kind.split()[-1]
    width, height = max(4, round(of.width_mm * scale)), max(4, round(of.height_mm * scale))
    return Hole(
        x=middle.x - width // 2,
        y=middle.y - height // 2,
        width=width,
        height=height,
        radius=round(of.corner_radius_mm * scale),
        label=label if len(label) * LETTER <= width else "",
        is_made_on_site=of.is_made_on_site,
    )
