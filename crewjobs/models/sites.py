"""Sites, the people to talk to there, and the hours in which the building lets a crew in."""

from enum import StrEnum

from django.db import models

from crewjobs.models.places import Place, on_the_globe
from crewjobs.models.rows import Row, check, choice, one_of


class HoursKind(StrEnum):
    """Why a crew may come only then."""

    BUILDING = "building hours"
    LIFT = "booked lift"


class Site(Row, Place):
    customer = models.ForeignKey("Customer", on_delete=models.PROTECT, related_name="sites")
    access_note = models.TextField(blank=True)

    class Meta:
        constraints = [on_the_globe("site")]

    def __str__(self) -> str:
        return self.address


class Contact(Row):
    site = models.ForeignKey("Site", on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(max_length=120)
    part = models.CharField(max_length=80, blank=True)
    """Builder, caretaker, neighbour with the key."""
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class SiteHours(Row):
    """Hours on a weekday, or on one day only. A day without any is closed once a site has some."""

    site = models.ForeignKey("Site", on_delete=models.CASCADE, related_name="hours")
    kind = choice(HoursKind)
    weekday = models.PositiveSmallIntegerField(null=True, blank=True)
    on = models.DateField(null=True, blank=True)
    starts_at = models.TimeField()
    ends_at = models.TimeField()

    class Meta:
        ordering = ["on", "weekday", "starts_at"]
        constraints = [
            one_of("site_hours", "kind", HoursKind),
            check("site_hours_end_after_start", models.Q(ends_at__gt=models.F("starts_at"))),
            check(
                "site_hours_weekday_or_day",
                models.Q(weekday__isnull=False, weekday__lte=6, on__isnull=True)
                | models.Q(weekday__isnull=True, on__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.on or self.weekday}"
