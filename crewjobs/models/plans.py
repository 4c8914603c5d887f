"""Plans: a draft gives visits a crew, a day and a start; publishing it makes them known."""

from enum import StrEnum

from django.db import models

from crewjobs.models.rows import Row, check, choice, one_of


class PlanStatus(StrEnum):
    """Only a published plan reaches calendars and customers."""

    IN_THE_MAKING = "in the making"
    """A large one, of which parts are still being planned."""
    DRAFT = "draft"
    PUBLISHED = "published"
    DISCARDED = "discarded"


class Plan(Row):
    version = models.PositiveIntegerField(unique=True)
    first_on = models.DateField()
    last_on = models.DateField()
    status = choice(PlanStatus, default=PlanStatus.DRAFT)
    made_by = models.ForeignKey("Person", on_delete=models.PROTECT, related_name="+")
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(
        "Person", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    seed = models.PositiveIntegerField(default=1)
    figures = models.JSONField(default=dict, blank=True)
    """What the plan costs and why, as the solver counted it."""
    findings = models.JSONField(default=list, blank=True)
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["-version"]
        constraints = [
            one_of("plan", "status", PlanStatus),
            check("plan_last_after_first", models.Q(last_on__gte=models.F("first_on"))),
            check(
                "plan_published_at_and_by",
                models.Q(status=PlanStatus.PUBLISHED, published_at__isnull=False)
                | (~models.Q(status=PlanStatus.PUBLISHED) & models.Q(published_at__isnull=True)),
            ),
        ]

    def __str__(self) -> str:
        return f"plan {self.version}"


class Making(Row):
    """How far a large plan has come: what is planned, turn after turn, in parts."""

    plan = models.OneToOneField("Plan", on_delete=models.CASCADE, related_name="making")
    problem = models.TextField()
    """As the planner writes it down."""
    schedule = models.TextField(blank=True)
    """What the last whole turn came to."""
    turn = models.PositiveSmallIntegerField(default=0)
    turns = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["created_at"]

    def __str__(self) -> str:
        return f"{self.plan_id}, turn {self.turn} of {self.turns}"


class PlanPart(Row):
    """One part of a large plan in one turn."""

    making = models.ForeignKey("Making", on_delete=models.CASCADE, related_name="parts")
    turn = models.PositiveSmallIntegerField()
    number = models.PositiveSmallIntegerField()
    part = models.TextField()
    schedule = models.TextField(blank=True)
    """Empty until it is planned."""

    class Meta:
        ordering = ["turn", "number"]
        constraints = [
            models.UniqueConstraint(fields=["making", "turn", "number"], name="plan_part_once"),
        ]

    def __str__(self) -> str:
        return f"part {self.number} of turn {self.turn}"


class PlannedVisit(Row):
    plan = models.ForeignKey("Plan", on_delete=models.CASCADE, related_name="planned")
    visit = models.ForeignKey("Visit", on_delete=models.CASCADE, related_name="planned")
    crew = models.ForeignKey("Crew", on_delete=models.PROTECT, related_name="planned")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    drive_min = models.FloatField(default=0)
    parts = models.JSONField(default=list, blank=True)
    """Of a visit that takes several days: the start and the end of each, in UTC."""

    class Meta:
        ordering = ["starts_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "visit"], name="planned_once_a_plan"),
            check("planned_ends_after_start", models.Q(ends_at__gt=models.F("starts_at"))),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} in plan {self.plan_id}"


class UnplacedVisit(Row):
    plan = models.ForeignKey("Plan", on_delete=models.CASCADE, related_name="unplaced")
    visit = models.ForeignKey("Visit", on_delete=models.CASCADE, related_name="unplaced")
    reasons = models.JSONField(default=list)
    """Code, message and numbers of each; `is_asked` is false where no planner was asked."""

    class Meta:
        ordering = ["created_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "visit"], name="unplaced_once_a_plan"),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} not in plan {self.plan_id}"

    @property
    def is_asked(self) -> bool:
        """Whether it was put to the planner, and found no place."""
        return all(reason.get("is_asked", True) for reason in self.reasons)
