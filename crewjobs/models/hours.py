"""What finished visits have taught of the shop's pace: every model that was ever in use, whole."""

from enum import StrEnum

from django.db import models

from crewjobs.models.rows import Row


class Learned(StrEnum):
    """What the office says of a finished visit as something to learn from."""

    COUNTED = "counted"
    """Nobody has said anything: it counts as much as it is likely to be right."""
    CONFIRMED = "confirmed"
    """The hours are right, however odd they look."""
    EXCLUDED = "excluded"
    """The hours are wrong: a forgotten clock, a lunch, a visit closed early."""


class HoursModel(Row):
    version = models.PositiveIntegerField(unique=True)
    content = models.TextField()
    """The model as text: an estimate can be made anew from it."""
    fingerprint = models.CharField(max_length=64)
    """The hash of everything that it was learned from."""
    visits = models.PositiveIntegerField(default=0)
    """How many finished visits it was learned from."""
    suspects = models.JSONField(default=list, blank=True)
    """Visits whose record looks wrong: id, probability, actual and expected minutes."""

    class Meta:
        ordering = ["-version"]

    def __str__(self) -> str:
        return f"hours model {self.version}"
