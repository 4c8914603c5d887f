"""The way in, element by element, from the truck to the cabinets."""

from django.db import models

from crewjobs.domain.facts import RouteElement as Fact
from crewjobs.domain.facts import RouteKind
from crewjobs.models.rows import Row, check, choice, measured, one_of


class RouteElement(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="route")
    position = models.PositiveSmallIntegerField()
    kind = choice(RouteKind)
    name = models.CharField(max_length=80, blank=True)
    width_mm = measured()
    height_mm = measured()
    length_mm = measured()
    depth_mm = measured()
    turn_deg = measured()
    steps = models.PositiveSmallIntegerField(default=0)
    hall_mm = measured()
    wall_mm = measured()
    room_mm = measured()
    free_wall_mm = measured()
    door_mm = measured()
    door_height_mm = measured()
    return_mm = measured()
    headroom_mm = measured()
    pitch_deg = measured()
    gap_mm = measured()

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
                for field in Fact.sizes()
            ],
            check(
                "route_element_pitch_below_upright",
                models.Q(pitch_deg__isnull=True) | models.Q(pitch_deg__lt=90),
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.kind


class SearchedLimit(Row):
    """How long a piece a way in admits, as a long search found; the same way is searched once."""

    fingerprint = models.CharField(max_length=64, unique=True)
    """Of the elements, the clearances, the depth and the thickness."""
    element = models.PositiveSmallIntegerField()
    level_mm = measured()
    """Null where the search found nothing that passes."""

    class Meta:
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return self.fingerprint
