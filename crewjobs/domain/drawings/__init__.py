"""Drawings of pieces, of a whole job, of the tightest place on the way in, and of a load.

They are shapes in millimetres, each with its role; a door gives them pens. They are drawn from the
facts alone and certify nothing: what is not known is not drawn.
"""

from crewjobs.domain.drawings.a_load import load
from crewjobs.domain.drawings.one_piece import piece
from crewjobs.domain.drawings.pens import PENS, Fill, Ink, Pen
from crewjobs.domain.drawings.shapes import (
    Anchor,
    Circle,
    Drawing,
    Lettering,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
)
from crewjobs.domain.drawings.tight import tightest
from crewjobs.domain.drawings.whole_job import layout

__all__ = [
    "PENS",
    "Anchor",
    "Circle",
    "Drawing",
    "Fill",
    "Ink",
    "Lettering",
    "Line",
    "Pen",
    "Polygon",
    "Role",
    "Shape",
    "Words",
    "layout",
    "load",
    "piece",
    "tightest",
]
