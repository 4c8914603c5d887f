"""Pieces, their cutouts and seams, the supports beneath them, and pieces made again."""

from enum import StrEnum

from django.db import models

from crewjobs.domain.facts import CutoutKind, PieceKind, SeamMethod, SupportKind
from crewjobs.models.rows import Row, above_zero, check, choice, measured, not_below_zero, one_of


class Piece(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="pieces")
    name = models.CharField(max_length=60)
    kind = choice(PieceKind, default=PieceKind.TOP)
    outline_mm = models.JSONField()
    """Corners as [x, y], lying flat."""
    thickness_mm = models.FloatField()
    material = models.CharField(max_length=80, blank=True)
    density_kg_m3 = models.FloatField(default=2400)
    edge_finish = models.CharField(max_length=60, blank=True)
    finished_edge_mm = models.FloatField(default=0)
    needs_field_cut = models.BooleanField(default=False)
    overhang_mm = measured()
    span_mm = measured()
    dishwasher_hole_mm = measured()
    layout_x_mm = models.FloatField(null=True, blank=True)
    """Where the origin of its outline lies in the layout of the whole job; null: not known."""
    layout_y_mm = models.FloatField(null=True, blank=True)
    layout_turn_deg = models.FloatField(default=0)
    """How far it is turned there, anticlockwise."""
    position = models.PositiveSmallIntegerField(default=0)
    """When it is set on site: the lower first."""

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            check(
                "piece_layout_x_and_y",
                models.Q(layout_x_mm__isnull=True, layout_y_mm__isnull=True)
                | models.Q(layout_x_mm__isnull=False, layout_y_mm__isnull=False),
            ),
            one_of("piece", "kind", PieceKind),
            above_zero("piece", "thickness_mm"),
            above_zero("piece", "density_kg_m3"),
            not_below_zero("piece", "finished_edge_mm"),
            not_below_zero("piece", "overhang_mm"),
            not_below_zero("piece", "span_mm"),
            not_below_zero("piece", "dishwasher_hole_mm"),
            models.UniqueConstraint(fields=["job", "name"], name="piece_name_once_a_job"),
        ]

    def __str__(self) -> str:
        return self.name


class Cutout(Row):
    piece = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="cutouts")
    kind = choice(CutoutKind)
    x_mm = models.FloatField()
    y_mm = models.FloatField()
    width_mm = models.FloatField()
    height_mm = models.FloatField()
    corner_radius_mm = models.FloatField(default=0)
    is_made_on_site = models.BooleanField(default=False)
    is_set_in_shop = models.BooleanField(default=False)
    front_rail_mm = measured()
    back_rail_mm = measured()
    is_supported = models.BooleanField(null=True, blank=True)
    cabinet_mm = measured()

    class Meta:
        ordering = ["x_mm", "y_mm"]
        constraints = [
            one_of("cutout", "kind", CutoutKind),
            above_zero("cutout", "width_mm"),
            above_zero("cutout", "height_mm"),
            not_below_zero("cutout", "corner_radius_mm"),
            not_below_zero("cutout", "front_rail_mm"),
            not_below_zero("cutout", "back_rail_mm"),
            not_below_zero("cutout", "cabinet_mm"),
        ]

    def __str__(self) -> str:
        return self.kind


class Seam(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="seams")
    name = models.CharField(max_length=60)
    first = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="+")
    second = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="+")
    length_mm = models.FloatField()
    method = choice(SeamMethod, default=SeamMethod.KNIFE_GRADE)
    adhesive = models.CharField(max_length=80, blank=True)
    """Product and colour, as it is loaded."""
    is_over_dishwasher = models.BooleanField(null=True, blank=True)
    to_sink_mm = measured()
    gap_mm = measured()
    edge_lippage_mm = measured()
    lippage_mm = measured()

    class Meta:
        ordering = ["name"]
        constraints = [
            one_of("seam", "method", SeamMethod),
            above_zero("seam", "length_mm"),
            not_below_zero("seam", "to_sink_mm"),
            not_below_zero("seam", "gap_mm"),
            not_below_zero("seam", "edge_lippage_mm"),
            not_below_zero("seam", "lippage_mm"),
            check("seam_joins_two_pieces", ~models.Q(first=models.F("second"))),
            models.UniqueConstraint(fields=["job", "name"], name="seam_name_once_a_job"),
        ]

    def __str__(self) -> str:
        return self.name


class Support(Row):
    piece = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="supports")
    kind = choice(SupportKind)
    is_in_place = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["created_at"]
        constraints = [one_of("support", "kind", SupportKind)]

    def __str__(self) -> str:
        return self.kind


class RemakeReason(StrEnum):
    """Why a piece is made again."""

    BROKEN = "broken"
    WRONG_SIZE = "wrong size"
    WRONG_MATERIAL = "wrong material"
    FLAW = "flaw"


class Remake(Row):
    """A broken or wrong piece is made again: a new ready date, often a return visit."""

    piece = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="remakes")
    reason = choice(RemakeReason)
    note = models.CharField(max_length=400, blank=True)
    ordered_by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    ready_on = models.DateField()
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["created_at"]
        constraints = [
            one_of("remake", "reason", RemakeReason),
            models.UniqueConstraint(
                fields=["piece"],
                condition=models.Q(made_at__isnull=True),
                name="remake_one_open_a_piece",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.piece_id}: {self.reason}"
