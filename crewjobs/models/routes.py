"""The way in, element by element, from the truck to the cabinets."""

from django.db import models

from crewjobs.domain.facts import RouteKind
from crewjobs.models.rows import Row, check, choice, one_of

SIZES = ("width_mm", "height_mm", "length_mm", "depth_mm", "turn_deg")


class RouteElement(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="route")
    position = models.PositiveSmallIntegerField()
    kind = choice(RouteKind)
    name = models.CharField(max_length=80, blank=True)
    width_mm = models.FloatField(null=True, blank=True)
    height_mm = models.FloatField(null=True, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    depth_mm = models.FloatField(null=True, blank=True)
    turn_deg = models.FloatField(null=True, blank=True)
    steps = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            one_of("route_element", "kind", RouteKind),
            models.UniqueConstraint(fields=["job", "position"], name="route_element_in_order"),
            *[
                check(
                    f"route_element_{field}_above_zero",
                    models.Q(**{f"{field}__isnull": True}) | models.Q(**{f"{field}__gt": 0}),
                )
                for field in SIZES
            ],
        ]

    def __str__(self) -> str:
        return self.name or self.kind
