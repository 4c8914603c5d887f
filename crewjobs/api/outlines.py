"""Outlines as a body gives them, by corners or plain sizes, and what is wrong with one."""

from collections.abc import Sequence
from math import isnan
from typing import Any

from rest_framework import serializers

from crewjobs.api.fields import Fact, Length, OneOf
from crewjobs.domain import facts, outlines, pieces, plain_shapes
from crewjobs.domain.plain_shapes import Shape
from crewjobs.domain.units import MM_PER_INCH, length_mm
from crewjobs.models import Units

MOST_CORNERS = 500
"""Of an outline with its arcs flattened."""


class ShopLength(Length):
    """A length; a text without its unit counts in the shop's own."""

    def to_internal_value(self, data: float | str) -> float:
        """The length in millimetres."""
        if isinstance(data, str) and isnan(self._bare(data)):
            shop = self.context["view"].shop
            is_metric = shop is not None and shop.units == Units.METRIC
            data = length_mm(data, bare_mm=1.0 if is_metric else MM_PER_INCH)
        return super().to_internal_value(data)

    def _bare(self, text: str) -> float:
        """Not a number, where a text is a length without its unit."""
        try:
            return length_mm(text, bare_mm=float("nan"))
        except ValueError:
            return 0.0


class ShapeIn(Fact):
    """A plain shape, lying flat with its front below; a text without a unit is in the shop's."""

    kind = OneOf(Shape)
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
        shape = attrs.pop("kind")
        corner = attrs.pop("corner", None)
        wrong = plain_shapes.faults(shape, attrs)
        if corner and shape is not Shape.L:
            wrong["corner"] = "only an L has an outer corner"
        if wrong:
            raise serializers.ValidationError({name: [said] for name, said in wrong.items()})
        where = corner or outlines.Corner.BACK_LEFT
        return self.made(lambda **sizes: plain_shapes.outline_mm(shape, sizes, where), attrs)


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
