"""The pen of each role: told apart by weight and dashes, so that no color is needed."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from crewjobs.domain.drawings.shapes import Role


class Fill(StrEnum):
    """What a closed shape is filled with."""

    NONE = "none"
    PAPER = "paper"
    STONE = "stone"
    """A light tint of ink."""
    INK = "ink"


class Ink(StrEnum):
    """How strong a line or a word is."""

    INK = "ink"
    FAINT = "faint"
    ACCENT = "accent"


@dataclass(frozen=True, kw_only=True, slots=True)
class Pen:
    """Weights and dashes are shares of a letter's height."""

    weight_factor: float = 0.1
    dash_factor: float = 0.0
    """The length of a dash, and of the gap after it; 0 for a whole line."""
    fill: Fill = Fill.NONE
    ink: Ink = Ink.INK
    is_bold: bool = False
    """Of words."""


PENS: Mapping[Role, Pen] = {
    Role.STONE: Pen(weight_factor=0.11, fill=Fill.STONE),
    Role.FINISHED: Pen(weight_factor=0.3),
    Role.FACE: Pen(weight_factor=0.2),
    Role.CUTOUT: Pen(fill=Fill.PAPER),
    Role.SITE_CUTOUT: Pen(fill=Fill.PAPER, dash_factor=0.4),
    Role.RAIL: Pen(weight_factor=0.08),
    Role.HATCH: Pen(weight_factor=0.08),
    Role.EXTENSION: Pen(weight_factor=0.04, ink=Ink.FAINT),
    Role.GRIP: Pen(weight_factor=0.14, fill=Fill.PAPER, ink=Ink.ACCENT),
    Role.BALANCE: Pen(weight_factor=0.1, ink=Ink.ACCENT),
    Role.DIMENSION: Pen(weight_factor=0.06, ink=Ink.FAINT),
    Role.SEAM: Pen(weight_factor=0.22, ink=Ink.ACCENT, is_bold=True),
    Role.WALL: Pen(weight_factor=0.1, fill=Fill.INK),
    Role.OPENING: Pen(weight_factor=0.08, dash_factor=0.25, ink=Ink.FAINT),
    Role.STEP: Pen(weight_factor=0.08, ink=Ink.FAINT),
    Role.CARRIED: Pen(weight_factor=0.14, fill=Fill.STONE, ink=Ink.ACCENT),
    Role.CLEARANCE: Pen(weight_factor=0.08, dash_factor=0.35, ink=Ink.ACCENT),
    Role.FRAME: Pen(weight_factor=0.16),
    Role.PAD: Pen(weight_factor=0.06, fill=Fill.PAPER, ink=Ink.FAINT),
    Role.NAME: Pen(is_bold=True),
    Role.NOTE: Pen(),
    Role.WARNING: Pen(is_bold=True),
}
