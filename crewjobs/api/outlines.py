"""Outlines by plain sizes: a rectangle, an L, a U, as a person would measure them."""

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from math import isnan
from typing import Any

from rest_framework import serializers

from crewjobs.api.fields import Fact, Length, OneOf
from crewjobs.domain import facts, outlines, pieces
from crewjobs.domain.units import MM_PER_INCH, length_mm
from crewjobs.models import Units

MOST_CORNERS = 500
"""Of an outline with its arcs flattened."""


class Kind(StrEnum):
    """What an outline looks like from above."""

    RECTANGLE = "rectangle"
    L = "L"
    U = "U"


class ShopLength(Length):
    """A length; a text without its unit counts in the shop's own."""

    def to_internal_value(self, data: float | str) -> float:
        """The length in millimetres, above zero."""
        if isinstance(data, str) and isnan(self._bare(data)):
            shop = self.context["view"].shop
            is_metric = shop is not None and shop.units == Units.METRIC
            data = length_mm(data, bare_mm=1.0 if is_metric else MM_PER_INCH)
        mm = super().to_internal_value(data)
        if mm <= 0:
            raise serializers.ValidationError("It must be more than 0.")
        return mm

    def _bare(self, text: str) -> float:
        """Not a number, where a text is a length without its unit."""
        try:
            return length_mm(text, bare_mm=float("nan"))
        except ValueError:
            return 0.0


class ShapeIn(Fact):
    """A plain shape, lying flat with its front below; a text without a unit is in the shop's."""

    kind = OneOf(Kind)
    length_mm = ShopLength(help_text="Along the front or back, over all")
    depth_mm = ShopLength(help_text="Of the rectangle, or of an L's or U's part along the length")
    leg_mm = ShopLength(required=False, help_text="Of an L, over all, from its outer corner")
    left_mm = ShopLength(required=False, help_text="Of a U's left leg, over all")
    right_mm = ShopLength(required=False, help_text="Of a U's right leg, over all")
    leg_depth_mm = ShopLength(required=False, help_text="How deep the legs are; else as depth_mm")
    corner = OneOf(
        outlines.Corner, required=False, help_text="Where an L's outer corner is; else back left"
    )

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Its outline. Corners run from the outer corner, or a U's left one, along the length."""
        needed, make = _WAYS[attrs["kind"]]
        if missing := [name for name in needed if name not in attrs]:
            raise serializers.ValidationError(
                {name: [f"An outline of kind {attrs['kind']} needs it."] for name in missing}
            )
        allowed = {"kind", "length_mm", "depth_mm", *needed, *_ALSO[attrs["kind"]]}
        if unused := sorted(attrs.keys() - allowed):
            raise serializers.ValidationError(
                {name: [f"An outline of kind {attrs['kind']} has none."] for name in unused}
            )
        return self.made(lambda **sizes: make(sizes), attrs)


def _rectangle(sizes: Mapping[str, Any]) -> outlines.Outline:
    return outlines.rectangle_mm(sizes["length_mm"], sizes["depth_mm"])


def _l_shape(sizes: Mapping[str, Any]) -> outlines.Outline:
    depth_mm = sizes["depth_mm"]
    leg_depth_mm = sizes.get("leg_depth_mm", depth_mm)
    _longer("leg_mm", sizes["leg_mm"], depth_mm)
    _longer("length_mm", sizes["length_mm"], leg_depth_mm)
    shape = outlines.l_shape_mm(sizes["length_mm"], sizes["leg_mm"], depth_mm, leg_depth_mm)
    return outlines.mirrored_mm(shape, sizes.get("corner", outlines.Corner.BACK_LEFT))


def _u_shape(sizes: Mapping[str, Any]) -> outlines.Outline:
    depth_mm = sizes["depth_mm"]
    leg_depth_mm = sizes.get("leg_depth_mm", depth_mm)
    for name in ("left_mm", "right_mm"):
        _longer(name, sizes[name], depth_mm)
    _longer("length_mm", sizes["length_mm"], 2 * leg_depth_mm)
    shape = outlines.u_shape_mm(
        sizes["length_mm"], sizes["left_mm"], sizes["right_mm"],
        depth_mm=depth_mm, leg_depth_mm=leg_depth_mm,
    )  # fmt: skip
    return outlines.mirrored_mm(shape, outlines.Corner.BACK_LEFT)


def _longer(name: str, value_mm: float, limit_mm: float) -> None:
    """Refuse a leg that does not come out of the other; named as the body names it."""
    if value_mm <= limit_mm:
        raise ValueError(f"{name} is {value_mm:g}, it must be more than {limit_mm:g}")


_WAYS: Mapping[Kind, tuple[tuple[str, ...], Callable[[Mapping[str, Any]], outlines.Outline]]] = {
    Kind.RECTANGLE: ((), _rectangle),
    Kind.L: (("leg_mm",), _l_shape),
    Kind.U: (("left_mm", "right_mm"), _u_shape),
}
_ALSO: Mapping[Kind, tuple[str, ...]] = {
    Kind.RECTANGLE: (),
    Kind.L: ("leg_depth_mm", "corner"),
    Kind.U: ("leg_depth_mm",),
}


def outline(attrs: dict[str, Any]) -> outlines.Outline:
    """The outline that was given in one of three ways, its corners rounded."""
    corners, shape = attrs.pop("outline_mm", None), attrs.pop("shape", None)
    length_mm, depth_mm = attrs.pop("length_mm", None), attrs.pop("depth_mm", None)
    radii_mm = attrs.pop("radii_mm", ())
    is_rectangle = length_mm is not None and depth_mm is not None
    if [corners is not None, is_rectangle, shape is not None].count(True) != 1:
        raise serializers.ValidationError(
            {"outline_mm": ["Give the outline, or length and depth, or a shape."]}
        )
    for name, side_mm in (("length_mm", length_mm), ("depth_mm", depth_mm)):
        if side_mm is not None and side_mm <= 0:
            raise serializers.ValidationError({name: ["It must be more than 0."]})
    sharp = shape or (
        tuple((x, y) for x, y in corners) if corners else outlines.rectangle_mm(length_mm, depth_mm)
    )
    return _rounded(sharp, radii_mm)


def _rounded(sharp: outlines.Outline, radii_mm: Sequence[float]) -> outlines.Outline:
    if len(radii_mm) > len(sharp) or min(radii_mm, default=0) < 0:
        raise serializers.ValidationError(
            {"radii_mm": [f"Give {len(sharp)} at most, none below 0."]}
        )
    try:
        return outlines.rounded_mm(sharp, dict(enumerate(radii_mm))) if any(radii_mm) else sharp
    except (ValueError, ZeroDivisionError) as error:
        raise serializers.ValidationError({"radii_mm": [str(error)]}) from error


def refuse_undrawable(piece: facts.Piece) -> None:
    """Refuse what cannot be cut as drawn, with the point, at the outline or the cutout."""
    if faults := outlines.outline_refusals(piece):
        raise serializers.ValidationError({"outline_mm": list(faults)})
    of_cutouts: Any = {}
    for place, fault in outlines.cutout_refusals(piece):
        of_cutouts.setdefault(place, []).append(fault)
    if of_cutouts:
        raise serializers.ValidationError({"cutouts": of_cutouts})
    try:
        pieces.area_m2(piece)
    except ValueError as error:
        raise serializers.ValidationError({"outline_mm": [str(error)]}) from error
