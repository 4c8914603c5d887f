"""The shop and its ways of counting: one row."""

from enum import StrEnum

from django.db import models

from crewjobs.domain.facts import DustRules, RuleSet
from crewjobs.models.rows import Row, check, choice, measured, not_below_zero, one_of


class Units(StrEnum):
    """How lengths and masses are shown; both are read everywhere."""

    IMPERIAL = "imperial"
    METRIC = "metric"


class Shop(Row):
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=60, default="UTC")
    units = choice(Units, default=Units.IMPERIAL)
    currency = models.CharField(max_length=3, default="USD")
    carrier_kg = models.FloatField(default=45.0)
    circuity_factor = models.FloatField(default=1.2)
    speed_kmh = models.FloatField(default=45.0)
    drive_extra_min = models.FloatField(default=4.0)
    planning_share = models.FloatField(default=0.5)
    """Where between the P50 and the P80 a visit is planned: 0 is the P50, 1 the P80."""
    break_starts_at = models.TimeField(default="12:00")
    break_min = models.FloatField(default=30.0)
    traffic = models.JSONField(default=list, blank=True)
    """Speed by the hour: [minute of the day, percent of the usual speed], each from there on."""
    capacity_m2 = measured()
    """What the shop makes in a working day; null: somebody says when stone is ready."""
    lead_days = models.PositiveSmallIntegerField(default=5)
    """Working days from the template to the stone at the earliest."""
    uneven_cost = models.PositiveIntegerField(default=0)
    """What a plan pays for crews that work unevenly much; 0: nobody minds."""
    standard_minutes = models.JSONField(default=dict, blank=True)
    """The shop's own standard minutes, by name, where they differ from the prior values."""
    rule_set = choice(RuleSet, default=RuleSet.STRICTER)
    """Whose rules count where publishers disagree."""
    dust_rules = models.CharField(
        max_length=40, blank=True, choices=[(str(each), str(each)) for each in DustRules]
    )
    """Whose dust rules count; empty: nobody chose, and all are shown."""
    limits = models.JSONField(default=dict, blank=True)
    """The shop's own limits, by name, where they differ from the usual ones."""
    questions = models.JSONField(default=dict, blank=True)
    """The shop's own questions, by form and code: more of them, other words, or left out."""
    reply_to = models.EmailField(blank=True)
    next_job_number = models.PositiveIntegerField(default=1001)
    only = models.BooleanField(default=True, unique=True, editable=False)
    """One installation serves one shop."""

    class Meta:
        constraints = [
            one_of("shop", "units", Units),
            one_of("shop", "rule_set", RuleSet),
            check("shop_dust_rules_known", models.Q(dust_rules__in=["", *map(str, DustRules)])),
            check("shop_only_one", models.Q(only=True)),
            check("shop_carrier_above_zero", models.Q(carrier_kg__gt=0)),
            check("shop_circuity_at_least_one", models.Q(circuity_factor__gte=1)),
            check("shop_speed_above_zero", models.Q(speed_kmh__gt=0)),
            check("shop_planning_share", models.Q(planning_share__gte=0, planning_share__lte=1)),
            not_below_zero("shop", "break_min"),
            check(
                "shop_capacity_above_zero",
                models.Q(capacity_m2__isnull=True) | models.Q(capacity_m2__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.name
