"""What every table shares: a random id that may stand in an address, and when it was made."""

import uuid
from collections.abc import Iterable
from enum import StrEnum

from django.db import models


class Row(models.Model):
    """A row with a random id. Nothing here reads the clock: the action says when."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    created_at = models.DateTimeField()

    class Meta:
        abstract = True


def choice(enum: type[StrEnum], default: StrEnum | None = None) -> "models.CharField[str, str]":
    """A short text that is one of an enumeration's values."""
    choices = [(str(member), str(member)) for member in enum]
    if default is None:
        return models.CharField(max_length=40, choices=choices)
    return models.CharField(max_length=40, choices=choices, default=str(default))


def measured() -> "models.FloatField[float | None, float | None]":
    """A number that is null until somebody measures it."""
    return models.FloatField(null=True, blank=True)


def one_of(table: str, field: str, enum: Iterable[StrEnum]) -> models.CheckConstraint:
    """The database itself refuses a value outside the enumeration."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__in": [str(member) for member in enum]}),
        name=f"{table}_{field}_known",
    )


def check(name: str, condition: models.Q) -> models.CheckConstraint:
    """The database holds the condition for every row."""
    return models.CheckConstraint(condition=condition, name=name)


def above_zero(table: str, field: str) -> models.CheckConstraint:
    """The database keeps a number above zero."""
    return check(f"{table}_{field}_above_zero", models.Q(**{f"{field}__gt": 0}))


def not_below_zero(table: str, field: str) -> models.CheckConstraint:
    """The database keeps a number from falling below zero."""
    return check(f"{table}_{field}_not_below_zero", models.Q(**{f"{field}__gte": 0}))
