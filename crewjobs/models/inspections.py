"""Inspections of finished pieces, before they are loaded."""

from django.db import models

from crewjobs.models.rows import Row


class Inspection(Row):
    piece = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="inspections")
    by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    passed = models.BooleanField()
    note = models.CharField(max_length=400, blank=True)
    measurements = models.JSONField(default=dict, blank=True)
    """Name to millimetres, as far as somebody measured."""

    class Meta:
        ordering = ["-created_at", "id"]

    def __str__(self) -> str:
        return "passed" if self.passed else "failed"
