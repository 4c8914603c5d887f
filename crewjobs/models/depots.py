"""Where trucks are loaded and crews start."""

from django.db import models

from crewjobs.models.places import Place, on_the_globe
from crewjobs.models.rows import Row


class Depot(Row, Place):
    name = models.CharField(max_length=80, unique=True)

    class Meta:
        ordering = ["name"]
        constraints = [on_the_globe("depot")]

    def __str__(self) -> str:
        return self.name
