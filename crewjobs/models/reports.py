"""What comes from the site: status reports, added and at most withdrawn, and photos."""

import uuid
from enum import StrEnum
from typing import Self

from django.db import models

from crewjobs.domain.facts import ReportKind
from crewjobs.models.rows import Row, check, choice, one_of


class StatusReports(models.QuerySet["StatusReport"]):
    def standing(self) -> Self:
        """Those that nobody has withdrawn."""
        return self.filter(withdrawn_at__isnull=True)


class StatusReport(Row):
    """One report. `created_at` is when it arrived here, `happened_at` what the phone says."""

    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    visit = models.ForeignKey("Visit", on_delete=models.PROTECT, related_name="reports")
    person = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="reports")
    kind = choice(ReportKind)
    happened_at = models.DateTimeField()
    piece = models.ForeignKey(
        "Piece", on_delete=models.SET_NULL, related_name="+", null=True, blank=True
    )
    seam = models.ForeignKey(
        "Seam", on_delete=models.SET_NULL, related_name="+", null=True, blank=True
    )
    note = models.TextField(blank=True)
    flag = models.CharField(max_length=200, blank=True)
    """What dispatch should know: the visit had been moved, the time lies in the future."""
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    """It stays to be read; nothing is derived from it any more."""
    withdrawn_by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    withdrawn_reason = models.CharField(max_length=200, blank=True)

    objects = StatusReports.as_manager()

    class Meta:
        ordering = ["happened_at", "id"]
        indexes = [models.Index(fields=["visit", "happened_at"], name="report_visit_time")]
        constraints = [
            one_of("status_report", "kind", ReportKind),
            check(
                "status_report_withdrawn_by_with_reason",
                models.Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_reason="")
                | models.Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False)
                & ~models.Q(withdrawn_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return self.kind


class PhotoKind(StrEnum):
    """What a photo shows."""

    BEFORE = "before"
    SEAM = "seam"
    SINK = "sink"
    AFTER = "after"
    PROBLEM = "problem"


class Photo(Row):
    visit = models.ForeignKey("Visit", on_delete=models.PROTECT, related_name="photos")
    person = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="photos")
    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    kind = choice(PhotoKind)
    taken_at = models.DateTimeField()
    file = models.FileField(upload_to="photos/%Y/%m/")
    sha256 = models.CharField(max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["taken_at", "id"]
        constraints = [one_of("photo", "kind", PhotoKind)]

    def __str__(self) -> str:
        return self.kind
