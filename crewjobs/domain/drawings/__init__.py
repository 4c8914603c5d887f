"""Drawings of pieces, of a whole job, of the tightest place on the way in, and of a load.

They are shapes in millimetres, each with its role; a door gives them pens. They are drawn from the
facts alone and certify nothing: what is not known is not drawn.
"""

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

__all__ = [
    "Anchor",
    "Circle",
    "Drawing",
    "Lettering",
    "Line",
    "Polygon",
    "Role",
    "Shape",
    "Words",
]
