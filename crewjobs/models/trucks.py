"""Trucks and the A-frames on them."""

from django.db import models

from crewjobs.models.rows import Row, above_zero


class Truck(Row):
    name = models.CharField(max_length=80, unique=True)
    depot = models.ForeignKey("Depot", on_delete=models.PROTECT, related_name="trucks")
    payload_kg = models.FloatField()
    frame_length_mm = models.FloatField()
    frame_height_mm = models.FloatField()
    frame_thickness_mm = models.FloatField()
    """How thick the stack on one of the two sides may be."""

    class Meta:
        ordering = ["name"]
        constraints = [
            above_zero("truck", field)
            for field in ("payload_kg", "frame_length_mm", "frame_height_mm", "frame_thickness_mm")
        ]

    def __str__(self) -> str:
        return self.name
