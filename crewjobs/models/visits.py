"""Visits: what a crew comes for, when it may come, when it was told to come, how it went."""

from typing import Self

from django.db import models

from crewjobs.domain.facts import ReportKind, VisitKind
from crewjobs.models.crews import Skill
from crewjobs.models.hours import Learned
from crewjobs.models.pieces import Piece
from crewjobs.models.reports import StatusReport
from crewjobs.models.rows import Row, check, choice, not_below_zero, one_of


class Visits(models.QuerySet["Visit"]):
    def open(self) -> Self:
        """Neither cancelled nor finished, of a job that goes on."""
        return self.filter(
            cancelled_at__isnull=True, finished_at__isnull=True, job__cancelled_at__isnull=True
        )

    def learned_from(self) -> Self:
        """Worked to their end and clocked; a crew that found the site not ready did not work."""
        in_vain = StatusReport.objects.standing().filter(kind=ReportKind.NO_GO)
        worked = self.filter(finished_at__isnull=False, actual_min__gt=0, progress_share=1)
        return worked.exclude(pk__in=in_vain.values("visit"))

    def published(self) -> Self:
        """With a place that calendars and customers know."""
        return self.filter(placements__withdrawn_at__isnull=True, placements__isnull=False)


class Visit(Row):
    job = models.ForeignKey("Job", on_delete=models.CASCADE, related_name="visits")
    kind = choice(VisitKind)
    pieces: "models.ManyToManyField[Piece, models.Model]" = models.ManyToManyField(
        "Piece", related_name="visits", blank=True
    )
    """What a return visit is about; other visits are about every piece."""
    hands = models.PositiveSmallIntegerField(default=2)
    hands_are_set = models.BooleanField(default=False)
    """Somebody chose the number; it is not counted from the pieces any more."""
    skills: "models.ManyToManyField[Skill, models.Model]" = models.ManyToManyField(
        "Skill", related_name="visits", blank=True
    )
    earliest_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    latest_on = models.DateField(null=True, blank=True)
    """The last day on which it may be; `due_on` may be missed at a price."""
    comes_after = models.ForeignKey(
        "Visit", on_delete=models.SET_NULL, related_name="followed_by", null=True, blank=True
    )
    """Another visit of the job that has to be over."""
    after_days = models.PositiveSmallIntegerField(default=1)
    """How many days after that one at the earliest."""
    assists = models.ForeignKey(
        "Visit", on_delete=models.SET_NULL, related_name="assisted_by", null=True, blank=True
    )
    """The visit of the job that it lends a hand to: another crew that starts with the first."""
    p50_min = models.FloatField(default=0)
    p80_min = models.FloatField(default=0)
    p90_min = models.FloatField(default=0)
    hours_lines = models.JSONField(default=list, blank=True)
    """What the P50 is made of: name, minutes, note."""
    hours_model = models.ForeignKey(
        "HoursModel", on_delete=models.PROTECT, related_name="estimated", null=True, blank=True
    )
    """What the hours were estimated by; none before anything was learned."""
    learned = choice(Learned, default=Learned.COUNTED)
    sequence = models.PositiveIntegerField(default=0)
    """Counts the changes that a calendar must follow."""
    is_locked = models.BooleanField(default=False)
    """Its published place may not move in a new plan."""
    customer_confirmed_at = models.DateTimeField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    progress_share = models.FloatField(default=0)
    live_finish_at = models.DateTimeField(null=True, blank=True)
    live_finish_p80_at = models.DateTimeField(null=True, blank=True)
    """Four of five such visits are over by then."""
    actual_min = models.FloatField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    objects = Visits.as_manager()

    class Meta:
        ordering = ["created_at", "id"]
        constraints = [
            one_of("visit", "kind", VisitKind),
            one_of("visit", "learned", Learned),
            not_below_zero("visit", "p50_min"),
            check(
                "visit_percentiles_in_order",
                models.Q(p80_min__gte=models.F("p50_min"), p90_min__gte=models.F("p80_min")),
            ),
            check("visit_progress", models.Q(progress_share__gte=0, progress_share__lte=1)),
            check(
                "visit_finished_after_start",
                models.Q(finished_at__isnull=True)
                | models.Q(started_at__isnull=False, finished_at__gte=models.F("started_at")),
            ),
            check("visit_needs_hands", models.Q(hands__gte=1)),
            check("visit_after_days_above_zero", models.Q(after_days__gte=1)),
            check(
                "visit_not_after_itself",
                models.Q(comes_after__isnull=True) | ~models.Q(comes_after=models.F("id")),
            ),
            check(
                "visit_does_not_assist_itself",
                models.Q(assists__isnull=True) | ~models.Q(assists=models.F("id")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} visit {self.id}"

    @property
    def placement(self) -> "Placement | None":
        """The published place, read from what is prefetched where it is."""
        return next((p for p in self.placements.all() if p.withdrawn_at is None), None)


class VisitWindow(Row):
    """When the customer lets the crew begin, on one day, in the site's time zone."""

    visit = models.ForeignKey("Visit", on_delete=models.CASCADE, related_name="windows")
    on = models.DateField()
    starts_at = models.TimeField()
    ends_at = models.TimeField()

    class Meta:
        ordering = ["on", "starts_at"]
        constraints = [
            check("visit_window_ends_after_start", models.Q(ends_at__gt=models.F("starts_at"))),
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.starts_at:%H:%M}-{self.ends_at:%H:%M}"


class Placement(Row):
    """A published place of a visit: crew and hours. One that no longer holds stays, withdrawn."""

    visit = models.ForeignKey("Visit", on_delete=models.CASCADE, related_name="placements")
    crew = models.ForeignKey("Crew", on_delete=models.PROTECT, related_name="placements")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    drive_min = models.FloatField(default=0)
    parts = models.JSONField(default=list, blank=True)
    """Of a visit that takes several days: the start and the end of each, in UTC."""
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "id"]
        indexes = [models.Index(fields=["crew", "starts_at"], name="placement_crew_start")]
        constraints = [
            check("placement_ends_after_start", models.Q(ends_at__gt=models.F("starts_at"))),
            models.UniqueConstraint(fields=["visit", "crew"], name="placement_one_a_crew"),
            models.UniqueConstraint(
                fields=["visit"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="placement_one_in_force",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} from {self.starts_at:%Y-%m-%d %H:%M}"
