"""Crews, their skills, their working hours and days off."""

import datetime as dt

from django.db import models

from crewjobs.models.rows import Row, check, not_below_zero


class Skill(Row):
    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class Crew(Row):
    name = models.CharField(max_length=80, unique=True)
    depot = models.ForeignKey("Depot", on_delete=models.PROTECT, related_name="crews")
    truck = models.OneToOneField(
        "Truck", on_delete=models.PROTECT, related_name="crew", null=True, blank=True
    )
    overtime_min = models.FloatField(default=60.0)
    """How long after the shift a plan may still let the crew come home."""
    is_active = models.BooleanField(default=True)
    areas = models.JSONField(default=list, blank=True)
    """Its territory: how the postal codes in it begin. Empty: everywhere."""

    class Meta:
        ordering = ["name"]
        constraints = [not_below_zero("crew", "overtime_min")]

    def __str__(self) -> str:
        return self.name


class Shift(Row):
    """The hours that a crew works on one day of every week, in its depot's time zone."""

    crew = models.ForeignKey("Crew", on_delete=models.CASCADE, related_name="shifts")
    weekday = models.PositiveSmallIntegerField()
    """0 is Monday."""
    starts_at = models.TimeField(default=dt.time(8))
    ends_at = models.TimeField(default=dt.time(17))

    class Meta:
        ordering = ["weekday", "starts_at"]
        constraints = [
            models.UniqueConstraint(fields=["crew", "weekday"], name="shift_one_a_weekday"),
            check("shift_weekday_in_week", models.Q(weekday__lte=6)),
            check("shift_ends_after_start", models.Q(ends_at__gt=models.F("starts_at"))),
        ]

    def __str__(self) -> str:
        return f"{self.crew_id} {self.weekday} {self.starts_at:%H:%M}-{self.ends_at:%H:%M}"


class DayOff(Row):
    """Days on which a whole crew, or one of its people, does not work."""

    crew = models.ForeignKey(
        "Crew", on_delete=models.CASCADE, related_name="days_off", null=True, blank=True
    )
    person = models.ForeignKey(
        "Person", on_delete=models.CASCADE, related_name="days_off", null=True, blank=True
    )
    first_on = models.DateField()
    last_on = models.DateField()
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["first_on"]
        constraints = [
            check("day_off_ends_after_start", models.Q(last_on__gte=models.F("first_on"))),
            check(
                "day_off_of_crew_or_person",
                models.Q(crew__isnull=True, person__isnull=False)
                | models.Q(crew__isnull=False, person__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_on} to {self.last_on}"
