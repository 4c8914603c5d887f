"""The shapes of stone: pieces, cutouts, seams, supports, and the way in."""

from dataclasses import dataclass
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions.orders import Finish
from crewjobs.api.fields import Fact, Length, Number, OneOf, Strict, several
from crewjobs.api.outlines import MOST_CORNERS, ShapeIn, outline, refuse_undrawable
from crewjobs.domain import facts, outlines, pieces, units
from crewjobs.models import Cutout, Piece, RouteElement, Seam, Support, Units

MOST_PIECES = 100


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceEntry:
    """A piece with what hangs on it."""

    piece: facts.Piece
    finish: Finish
    supports: tuple[facts.Support, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stone:
    """What a body says of a job's stone."""

    work: facts.Work
    finishes: dict[str, Finish]


class CutoutIn(Fact):
    makes = facts.Cutout

    kind = OneOf(facts.CutoutKind)
    x_mm = Length(help_text="Of the middle, in the piece's own coordinates")
    y_mm = Length()
    width_mm = Length()
    height_mm = Length()
    corner_radius_mm = Length(required=False)
    is_made_on_site = serializers.BooleanField(required=False)
    is_set_in_shop = serializers.BooleanField(required=False)
    front_rail_mm = Length(required=False, allow_null=True)
    back_rail_mm = Length(required=False, allow_null=True)
    is_supported = serializers.BooleanField(
        required=False,
        allow_null=True,
        help_text="By the cabinet, not by the stone; null: not known",
    )
    cabinet_mm = Length(
        required=False, allow_null=True, help_text="Inside width of the cabinet below"
    )


class SupportIn(Strict):
    kind = OneOf(facts.SupportKind)
    is_in_place = serializers.BooleanField(required=False)


class PieceIn(Fact):
    """Give the outline, or length and depth of a rectangle, or a plain shape."""

    name = serializers.CharField(max_length=60)
    kind = OneOf(facts.PieceKind, required=False)
    outline_mm = serializers.ListField(
        child=serializers.ListField(child=Length(), min_length=2, max_length=2),
        min_length=3,
        max_length=MOST_CORNERS,
        required=False,
    )
    length_mm = Length(required=False)
    depth_mm = Length(required=False)
    shape = ShapeIn(required=False)
    radii_mm = serializers.ListField(
        child=Length(),
        max_length=MOST_CORNERS,
        required=False,
        help_text="Of the rounded corners, in the order of the outline; 0 for a sharp one",
    )
    thickness_mm = Length()
    density_kg_m3 = Number(required=False, max_value=10_000)
    material = serializers.CharField(required=False, allow_blank=True, max_length=80)
    edge_finish = serializers.CharField(required=False, allow_blank=True, max_length=60)
    finished_edge_mm = Length(required=False)
    needs_field_cut = serializers.BooleanField(required=False)
    overhang_mm = Length(required=False, allow_null=True, help_text="Beyond its supports, at most")
    span_mm = Length(
        required=False, allow_null=True, help_text="The widest opening that it bridges"
    )
    dishwasher_hole_mm = Length(
        required=False, allow_null=True, help_text="Depth of holes drilled from below"
    )
    layout_x_mm = Length(
        required=False, allow_null=True, help_text="Of its outline's origin, in the whole job"
    )
    layout_y_mm = Length(required=False, allow_null=True)
    layout_turn_deg = Number(
        required=False, min_value=-360, max_value=360, help_text="In the layout, anticlockwise"
    )
    cutouts = several(CutoutIn, most=50)
    supports = several(SupportIn, most=50)

    def validate(self, attrs: dict[str, Any]) -> PieceEntry:
        """The piece, its finish and its supports."""
        name = attrs["name"]
        supports = tuple(facts.Support(piece=name, **each) for each in attrs.pop("supports", ()))
        finish = Finish(
            material=attrs.pop("material", ""), edge_finish=attrs.pop("edge_finish", "")
        )
        corners = outline(attrs)
        cutouts = tuple(attrs.pop("cutouts", ()))
        values = attrs | {"outline_mm": corners, "cutouts": cutouts}
        piece = self.made(facts.Piece, values)
        refuse_undrawable(piece)
        return PieceEntry(piece=piece, finish=finish, supports=supports)


class SeamIn(Fact):
    makes = facts.Seam

    name = serializers.CharField(max_length=60)
    first = serializers.CharField(max_length=60, help_text="Name of a piece")
    second = serializers.CharField(max_length=60, help_text="Name of a piece")
    length_mm = Length()
    method = OneOf(facts.SeamMethod, required=False)
    adhesive = serializers.CharField(
        required=False, allow_blank=True, max_length=80, help_text="Product and colour"
    )
    is_over_dishwasher = serializers.BooleanField(required=False, allow_null=True)
    to_sink_mm = Length(required=False, allow_null=True, help_text="To the nearest sink cutout")
    gap_mm = Length(required=False, allow_null=True, help_text="Its width, once it is made")
    edge_lippage_mm = Length(required=False, allow_null=True, help_text="At the front or rear edge")
    lippage_mm = Length(required=False, allow_null=True, help_text="At mid-depth")


class RouteIn(Fact):
    makes = facts.RouteElement

    kind = OneOf(facts.RouteKind)
    name = serializers.CharField(required=False, allow_blank=True, max_length=80)
    width_mm = Length(required=False, allow_null=True)
    height_mm = Length(required=False, allow_null=True)
    length_mm = Length(required=False, allow_null=True)
    depth_mm = Length(required=False, allow_null=True)
    turn_deg = Number(required=False, allow_null=True, max_value=360)
    steps = serializers.IntegerField(required=False, min_value=0, max_value=1000)
    hall_mm = Length(
        required=False, allow_null=True, help_text="Width of the hall that a side door opens from"
    )
    wall_mm = Length(
        required=False, allow_null=True, help_text="Thickness of the wall around a side door"
    )
    room_mm = Length(
        required=False, allow_null=True, help_text="Free depth of the room ahead of a side door"
    )
    free_wall_mm = Length(
        required=False, allow_null=True, help_text="Free wall beyond the far jamb of a side door"
    )
    door_mm = Length(required=False, allow_null=True, help_text="Clear width of a lift's door")
    door_height_mm = Length(
        required=False, allow_null=True, help_text="Clear height of a lift's door"
    )
    return_mm = Length(
        required=False, allow_null=True, help_text="The narrower front wall beside a lift's door"
    )
    headroom_mm = Length(
        required=False, allow_null=True, help_text="Upright over the nosing line of stairs"
    )
    pitch_deg = Number(
        required=False, allow_null=True, help_text="Of stairs, or of the flights at a landing"
    )
    gap_mm = Length(
        required=False, allow_null=True, help_text="Well between the flights of a half landing"
    )


class StoneIn(Fact):
    """Pieces and seams, whole: a piece that keeps its name keeps its inspections and remakes."""

    pieces = several(PieceIn, most=MOST_PIECES)
    seams = several(SeamIn, most=MOST_PIECES)
    tear_out_mm = Length(required=False)
    cabinet_run_mm = Length(required=False)
    temperature_deg_c = Number(required=False, min_value=-30, max_value=60)
    has_dishwasher = serializers.BooleanField(required=False)
    off_level_mm = Length(required=False, allow_null=True, help_text="The cabinets, over their run")

    def validate(self, attrs: dict[str, Any]) -> Stone:
        """The work, and what each piece is made of."""
        entries: list[PieceEntry] = attrs.pop("pieces", [])
        work = self.made(
            facts.Work,
            {name: tuple(v) if isinstance(v, list) else v for name, v in attrs.items()}
            | {
                "pieces": tuple(entry.piece for entry in entries),
                "supports": tuple(support for entry in entries for support in entry.supports),
            },
        )
        return Stone(work=work, finishes={entry.piece.name: entry.finish for entry in entries})


class CutoutOut(serializers.ModelSerializer[Cutout]):
    class Meta:
        model = Cutout
        fields = [
            "id", "kind", "x_mm", "y_mm", "width_mm", "height_mm", "corner_radius_mm",
            "is_made_on_site", "is_set_in_shop", "front_rail_mm", "back_rail_mm", "is_supported",
            "cabinet_mm",
        ]  # fmt: skip


class SupportOut(serializers.ModelSerializer[Support]):
    class Meta:
        model = Support
        fields = ["id", "kind", "is_in_place", "note"]


class ComputedOut(serializers.Serializer[facts.Piece]):
    """What follows from a piece's outline, its cutouts and its stone."""

    area_m2 = serializers.SerializerMethodField()
    mass_kg = serializers.SerializerMethodField()
    centre_of_gravity_mm = serializers.SerializerMethodField()
    box_mm = serializers.SerializerMethodField(help_text="The lowest and the highest x and y")

    def get_area_m2(self, piece: facts.Piece) -> float:
        """The outline less its cutouts."""
        return pieces.area_m2(piece)

    def get_mass_kg(self, piece: facts.Piece) -> float:
        """By net area, thickness and density."""
        return pieces.mass_kg(piece)

    def get_centre_of_gravity_mm(self, piece: facts.Piece) -> list[float]:
        """Where it balances, in its own coordinates."""
        return list(pieces.centre_of_gravity_mm(piece))

    def get_box_mm(self, piece: facts.Piece) -> list[list[float]]:
        """The box around it."""
        return [list(corner) for corner in outlines.box_mm(piece.outline_mm)]


class PieceOut(serializers.ModelSerializer[Piece]):
    cutouts = CutoutOut(many=True)
    supports = SupportOut(many=True)
    size = serializers.SerializerMethodField(help_text="In the shop's own units")
    computed = serializers.SerializerMethodField()

    class Meta:
        model = Piece
        fields = [
            "id", "name", "kind", "outline_mm", "thickness_mm", "size", "computed", "material",
            "density_kg_m3", "edge_finish", "finished_edge_mm", "needs_field_cut", "overhang_mm",
            "span_mm", "dishwasher_hole_mm", "layout_x_mm", "layout_y_mm", "layout_turn_deg",
            "cutouts", "supports",
        ]  # fmt: skip

    @extend_schema_field(ComputedOut)
    def get_computed(self, piece: Piece) -> Any:
        """What follows from the outline, the cutouts and the stone."""
        return ComputedOut(snapshots.piece(piece)).data

    def get_size(self, piece: Piece) -> str:
        """Length and depth as the shop writes them."""
        shop = self.context["view"].shop
        is_metric = shop is not None and shop.units == Units.METRIC
        extents = (max(axis) - min(axis) for axis in zip(*piece.outline_mm, strict=True))
        return " x ".join(f"{mm:.0f} mm" if is_metric else units.feet_inches(mm) for mm in extents)


class SeamOut(serializers.ModelSerializer[Seam]):
    first = serializers.CharField(source="first.name")
    second = serializers.CharField(source="second.name")

    class Meta:
        model = Seam
        fields = [
            "id", "name", "first", "second", "length_mm", "method", "adhesive",
            "is_over_dishwasher", "to_sink_mm", "gap_mm", "edge_lippage_mm", "lippage_mm",
        ]  # fmt: skip


class RouteOut(serializers.ModelSerializer[RouteElement]):
    class Meta:
        model = RouteElement
        fields = [
            "id", "position", "kind", "name", "width_mm", "height_mm", "length_mm", "depth_mm",
            "turn_deg", "steps", "hall_mm", "wall_mm", "room_mm", "free_wall_mm", "door_mm",
            "door_height_mm", "return_mm", "headroom_mm", "pitch_deg", "gap_mm",
        ]  # fmt: skip
