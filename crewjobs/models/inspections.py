"""Inspections of finished pieces, and every other form that somebody filled in."""

from django.db import models

from crewjobs.domain.questions import Form
from crewjobs.models.rows import Row, choice, one_of


class Inspection(Row):
    piece = models.ForeignKey("Piece", on_delete=models.CASCADE, related_name="inspections")
    by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    passed = models.BooleanField()
    note = models.CharField(max_length=400, blank=True)
    measurements = models.JSONField(default=dict, blank=True)
    """Name to millimetres, as far as somebody measured."""
    answers = models.JSONField(default=dict, blank=True)
    """To the questions of the form, by code."""

    class Meta:
        ordering = ["-created_at", "id"]

    def __str__(self) -> str:
        return "passed" if self.passed else "failed"


class FilledForm(Row):
    """Answers to the questions of one form. Nothing is changed: of each question the newest counts.

    `answers` holds, by the question's code, what was answered, and where it was said a measure in
    millimetres and a note.
    """

    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="filled_forms")
    form = choice(Form)
    visit = models.ForeignKey(
        "Visit", on_delete=models.CASCADE, related_name="filled_forms", null=True, blank=True
    )
    piece = models.ForeignKey(
        "Piece", on_delete=models.CASCADE, related_name="filled_forms", null=True, blank=True
    )
    by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    """Nobody, where the customer answered."""
    client_id = models.UUIDField(unique=True)
    """Made where it was filled in: the same id is the same form."""
    filled_at = models.DateTimeField()
    answers = models.JSONField(default=dict)

    class Meta:
        ordering = ["filled_at", "id"]
        constraints = [one_of("filled_form", "form", Form)]

    def __str__(self) -> str:
        return self.form


class Override(Row):
    """Somebody answers for a visit in spite of a finding that stops it, while it reads the same."""

    visit = models.ForeignKey("Visit", on_delete=models.CASCADE, related_name="overrides")
    code = models.CharField(max_length=60)
    about = models.CharField(max_length=120, blank=True)
    message = models.TextField()
    """The finding as it was: with other figures it is another finding."""
    reason = models.CharField(max_length=400)
    by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["created_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "code", "about", "message"], name="override_once_a_finding"
            ),
            models.CheckConstraint(condition=~models.Q(reason=""), name="override_with_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.code}: {self.reason}"
