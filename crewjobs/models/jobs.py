"""Jobs, what holds them, and the work that is left to licensed trades."""

from enum import StrEnum
from typing import Self

from django.db import models

from crewjobs.domain.facts import HoldReason, Stage, Trade
from crewjobs.models.rows import Row, check, choice, measured, not_below_zero, one_of


class Priority(StrEnum):
    """How much it costs to let a job wait."""

    USUAL = "usual"
    SOON = "soon"
    URGENT = "urgent"

    @property
    def weight(self) -> int:
        """1, 2 or 3."""
        return list(Priority).index(self) + 1


class Jobs(models.QuerySet["Job"]):
    def going(self) -> Self:
        """Neither cancelled nor signed off."""
        return self.filter(cancelled_at__isnull=True).exclude(stage=Stage.SIGNED_OFF)

    def held(self) -> Self:
        """With a hold that nobody has released."""
        return self.filter(holds__released_at__isnull=True, holds__isnull=False).distinct()


class Job(Row):
    number = models.CharField(max_length=40, unique=True)
    title = models.CharField(max_length=160, blank=True)
    customer = models.ForeignKey("Customer", on_delete=models.PROTECT, related_name="jobs")
    site = models.ForeignKey("Site", on_delete=models.PROTECT, related_name="jobs")
    stage = choice(Stage, default=Stage.BOOKED)
    priority = choice(Priority, default=Priority.USUAL)
    due_on = models.DateField(null=True, blank=True)
    stone_ready_on = models.DateField(null=True, blank=True)
    """When fabrication is expected to be done; no install before it."""
    tear_out_mm = models.FloatField(default=0)
    cabinet_run_mm = models.FloatField(default=0)
    temperature_deg_c = models.FloatField(default=20)
    has_dishwasher = models.BooleanField(default=False)
    off_level_mm = measured()
    balance_cents = models.PositiveIntegerField(default=0)
    note = models.TextField(blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancel_reason = models.CharField(max_length=200, blank=True)
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    objects = Jobs.as_manager()

    class Meta:
        ordering = ["-created_at", "id"]
        indexes = [
            models.Index(fields=["stage", "due_on"], name="job_stage_due"),
            models.Index(fields=["-created_at", "id"], name="job_newest"),
        ]
        constraints = [
            one_of("job", "stage", Stage),
            one_of("job", "priority", Priority),
            not_below_zero("job", "tear_out_mm"),
            not_below_zero("job", "cabinet_run_mm"),
            not_below_zero("job", "off_level_mm"),
            check(
                "job_cancelled_with_reason",
                models.Q(cancelled_at__isnull=True) | ~models.Q(cancel_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Hold(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="holds")
    reason = choice(HoldReason)
    note = models.CharField(max_length=400, blank=True)
    placed_by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["created_at"]
        constraints = [
            one_of("hold", "reason", HoldReason),
            check(
                "hold_released_at_and_by",
                models.Q(released_at__isnull=True, released_by__isnull=True)
                | models.Q(released_at__isnull=False, released_by__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["job", "reason"],
                condition=models.Q(released_at__isnull=True),
                name="hold_one_open_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.reason


class TradeWork(Row):
    """Work that the crew leaves to a licensed trade."""

    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="trade_work")
    trade = choice(Trade)
    what = models.CharField(max_length=200)
    earliest_at = models.DateTimeField(null=True, blank=True)
    """Not before this: adhesive and silicone must have cured."""
    earliest_is_set = models.BooleanField(default=False)
    """Somebody said it; it is not told from what cures any more."""
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["created_at"]
        constraints = [one_of("trade_work", "trade", Trade)]

    def __str__(self) -> str:
        return self.what
