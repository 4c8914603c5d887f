"""The log: who did what to which thing, written in the same transaction, never changed."""

from django.db import models


class AuditEntry(models.Model):
    number = models.BigAutoField(primary_key=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, null=True, blank=True, related_name="audit_entries"
    )
    """Empty where a customer acted through a link, or the clock did."""
    verb = models.CharField(max_length=60)
    thing = models.CharField(max_length=40)
    thing_id = models.UUIDField()
    job = models.ForeignKey(
        "Job", on_delete=models.SET_NULL, null=True, blank=True, related_name="audit_entries"
    )
    detail = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-number"]
        indexes = [models.Index(fields=["thing_id"], name="audit_thing")]

    def __str__(self) -> str:
        return f"{self.verb} {self.thing_id}"
