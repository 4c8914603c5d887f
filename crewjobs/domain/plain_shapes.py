"""Outlines by plain sizes: a rectangle, an L, a U, as a person would measure them.

All lie flat with their front below. A size is known by its name, so that a door can point at it.
"""

from collections.abc import Callable, Mapping
from enum import StrEnum

from crewjobs.domain.outlines import (
    Corner,
    Outline,
    l_shape_mm,
    mirrored_mm,
    rectangle_mm,
    u_shape_mm,
)

Sizes = Mapping[str, float]


class Shape(StrEnum):
    """What an outline looks like from above."""

    RECTANGLE = "rectangle"
    L = "L"
    U = "U"


NEEDED: Mapping[Shape, tuple[str, ...]] = {
    Shape.RECTANGLE: ("length_mm", "depth_mm"),
    Shape.L: ("length_mm", "depth_mm", "leg_mm"),
    Shape.U: ("length_mm", "depth_mm", "left_mm", "right_mm"),
}
"""The sizes without which there is no outline."""
ALSO: Mapping[Shape, tuple[str, ...]] = {
    Shape.RECTANGLE: (), Shape.L: ("leg_depth_mm",), Shape.U: ("leg_depth_mm",),
}  # fmt: skip
"""Legs are as deep as the part along the length, unless told otherwise."""


def faults(shape: Shape, sizes: Sizes) -> dict[str, str]:
    """What is missing, not above zero, or has no meaning for this shape, by the size's name.

    Examples
    --------
    >>> faults(Shape.RECTANGLE, {"length_mm": 2440, "leg_mm": 900})
    {'depth_mm': 'a rectangle needs it', 'leg_mm': 'a rectangle has none'}
    """
    name = {Shape.RECTANGLE: "a rectangle", Shape.L: "an L", Shape.U: "a U"}[shape]
    found = {size: f"{name} needs it" for size in NEEDED[shape] if size not in sizes}
    for size, value in sizes.items():
        if size not in NEEDED[shape] + ALSO[shape]:
            found[size] = f"{name} has none"
        elif not value > 0:
            found[size] = "it must be more than 0"
    return found


def outline_mm(shape: Shape, sizes: Sizes, corner: Corner = Corner.BACK_LEFT) -> Outline:
    """The outline; an L has its outer corner where it is said, a U opens to the front.

    Corners run from the outer one, or a U's back left one, along the length; a rectangle's from
    the front left one.

    Raises
    ------
    ValueError
        If a leg is no longer than the other part is deep; beginning with the size's name.

    Examples
    --------
    >>> outline_mm(Shape.L, {"length_mm": 3000, "depth_mm": 650, "leg_mm": 2000})[:3]
    ((0, 2000), (3000, 2000), (3000, 1350))
    """
    return _WAYS[shape](sizes, corner)


def _rectangle(sizes: Sizes, _corner: Corner) -> Outline:
    return rectangle_mm(sizes["length_mm"], sizes["depth_mm"])


def _l_shape(sizes: Sizes, corner: Corner) -> Outline:
    length, depth, leg = (sizes[name] for name in NEEDED[Shape.L])
    leg_depth = sizes.get("leg_depth_mm", depth)
    _longer("leg_mm", leg, depth)
    _longer("length_mm", length, leg_depth)
    return mirrored_mm(l_shape_mm(length, leg, depth, leg_depth), corner)


def _u_shape(sizes: Sizes, _corner: Corner) -> Outline:
    length, depth, left, right = (sizes[name] for name in NEEDED[Shape.U])
    leg_depth = sizes.get("leg_depth_mm", depth)
    _longer("left_mm", left, depth)
    _longer("right_mm", right, depth)
    _longer("length_mm", length, 2 * leg_depth)
    shape = u_shape_mm(length, left, right, depth_mm=depth, leg_depth_mm=leg_depth)
    return mirrored_mm(shape, Corner.BACK_LEFT)


def _longer(name: str, value_mm: float, limit_mm: float) -> None:
    if value_mm <= limit_mm:
        raise ValueError(f"{name} is {value_mm:g}, it must be more than {limit_mm:g} mm")


_WAYS: Mapping[Shape, Callable[[Sizes, Corner], Outline]] = {
    Shape.RECTANGLE: _rectangle, Shape.L: _l_shape, Shape.U: _u_shape,
}  # fmt: skip
