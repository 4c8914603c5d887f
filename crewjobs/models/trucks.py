"""Trucks and the A-frames on them."""

from django.db import models

from crewjobs.models.rows import Row, above_zero, check, measured


class Truck(Row):
    name = models.CharField(max_length=80, unique=True)
    depot = models.ForeignKey("Depot", on_delete=models.PROTECT, related_name="trucks")
    payload_kg = models.FloatField()
    frame_length_mm = models.FloatField()
    frame_height_mm = models.FloatField()
    frame_thickness_mm = models.FloatField()
    """How thick the stack on one of the two sides may be."""
    frame_side_kg = measured()
    """What one side of the frame bears; nothing known, half the payload."""

    class Meta:
        ordering = ["name"]
        constraints = [
            above_zero("truck", "payload_kg"),
            above_zero("truck", "frame_length_mm"),
            above_zero("truck", "frame_height_mm"),
            above_zero("truck", "frame_thickness_mm"),
            check(
                "truck_frame_side_kg_above_zero",
                models.Q(frame_side_kg__isnull=True) | models.Q(frame_side_kg__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.name
