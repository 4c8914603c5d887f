"""Visits: listed, added, changed, their windows, lock, confirmation and cancelling."""

import datetime as dt
from typing import Any
from uuid import UUID

import django_filters
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import visits
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Strict
from crewjobs.api.orders import VisitIn, WindowIn
from crewjobs.domain.facts import VisitKind
from crewjobs.models import Person, Placement, Visit, VisitWindow
from crewjobs.permissions import visible_jobs, visible_visits

Related = serializers.SlugRelatedField[Any]
STATES = ("open", "placed", "unplaced", "started", "finished", "cancelled")


SANE = [MinValueValidator(dt.date(2000, 1, 1)), MaxValueValidator(dt.date(2099, 12, 31))]


class WindowOut(serializers.ModelSerializer[VisitWindow]):
    class Meta:
        model = VisitWindow
        fields = ["id", "on", "starts_at", "ends_at"]


class DayOfVisit(serializers.Serializer[Any]):
    """One day of a visit that takes several."""

    starts_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    drive_min = serializers.FloatField()


class PlacementOut(serializers.ModelSerializer[Placement]):
    """Where and when a visit was published to be."""

    parts = DayOfVisit(many=True, help_text="Its days, if they are more than one")
    crew_name = serializers.CharField(source="crew.name")

    class Meta:
        model = Placement
        fields = [
            "id", "crew", "crew_name", "starts_at", "ends_at", "drive_min", "parts", "sequence",
            "changed_at",
        ]  # fmt: skip


class HoursLine(serializers.Serializer[object]):
    """One line of the expected hours; together they are the P50."""

    name = serializers.CharField()
    minutes = serializers.FloatField()
    note = serializers.CharField(allow_blank=True)


class VisitOut(serializers.ModelSerializer[Visit]):
    skills: Related = serializers.SlugRelatedField(slug_field="code", many=True, read_only=True)
    pieces: Related = serializers.SlugRelatedField(slug_field="name", many=True, read_only=True)
    windows = WindowOut(many=True)
    placement = PlacementOut(allow_null=True)
    hours_lines = HoursLine(many=True)

    class Meta:
        model = Visit
        fields = [
            "id", "job", "kind", "hands", "skills", "pieces", "earliest_on", "due_on",
            "latest_on", "comes_after", "after_days", "assists", "windows", "placement",
            "p50_min", "p80_min", "p90_min", "hours_lines", "is_locked", "customer_confirmed_at",
            "started_at", "finished_at", "progress_share", "live_finish_at", "live_finish_p80_at",
            "actual_min", "hours_model", "learned", "cancelled_at", "sequence", "changed_at",
            "version",
        ]  # fmt: skip


class VisitRow(serializers.ModelSerializer[Visit]):
    """A visit in a list."""

    number = serializers.CharField(source="job.number")
    title = serializers.CharField(source="job.title")
    address = serializers.CharField(source="job.site.address")
    placement = PlacementOut(allow_null=True)

    class Meta:
        model = Visit
        fields = [
            "id", "job", "number", "title", "address", "kind", "hands", "due_on", "placement",
            "p50_min", "p80_min", "is_locked", "customer_confirmed_at", "started_at",
            "finished_at", "progress_share", "live_finish_at", "live_finish_p80_at", "cancelled_at",
            "version",
        ]  # fmt: skip


class VisitAdd(VisitIn):
    pieces = serializers.ListField(
        child=serializers.CharField(max_length=60),
        required=False,
        max_length=100,
        help_text="Names of the pieces that a return visit is about",
    )

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The visit and the names of its pieces."""
        pieces = attrs.pop("pieces", [])
        return super().validate(attrs), pieces


class VisitChange(Strict):
    earliest_on = Day(allow_null=True)
    due_on = Day(allow_null=True)
    latest_on = Day(allow_null=True, help_text="The last day on which it may be")
    hands = serializers.IntegerField(min_value=1, max_value=12)
    comes_after: serializers.PrimaryKeyRelatedField[Visit] = serializers.PrimaryKeyRelatedField(
        queryset=Visit.objects.all(), allow_null=True, help_text="A visit of the job before it"
    )
    after_days = serializers.IntegerField(
        min_value=1, max_value=365, help_text="How many days after that one at the earliest"
    )
    assists: serializers.PrimaryKeyRelatedField[Visit] = serializers.PrimaryKeyRelatedField(
        queryset=Visit.objects.all(),
        allow_null=True,
        help_text="The visit of the job that a second crew lends a hand to, from the same start",
    )


class LockIn(Strict):
    is_locked = serializers.BooleanField()


class VisitFilter(django_filters.FilterSet):
    crew = django_filters.UUIDFilter(method="by_crew", label="published to this crew")
    on = django_filters.DateFilter(
        method="by_day", label="published for this day of the shop", validators=SANE
    )
    kind = django_filters.ChoiceFilter(choices=[(str(k), str(k)) for k in VisitKind])
    state = django_filters.ChoiceFilter(choices=[(s, s) for s in STATES], method="by_state")

    def by_crew(self, found: QuerySet[Visit], _name: str, crew: UUID) -> QuerySet[Visit]:
        return found.filter(pk__in=_in_force().filter(crew=crew).values("visit"))

    def by_day(self, found: QuerySet[Visit], _name: str, day: dt.date) -> QuerySet[Visit]:
        zone = snapshots.week_zone()
        first = snapshots.moment(day, 0, zone)
        last = snapshots.moment(day, 24 * 60, zone)
        placed = _in_force().filter(starts_at__gte=first, starts_at__lt=last)
        return found.filter(pk__in=placed.values("visit"))

    def by_state(self, found: QuerySet[Visit], _name: str, state: str) -> QuerySet[Visit]:
        placed = _in_force().values("visit")
        ends = {"finished": "finished_at", "cancelled": "cancelled_at"}
        if state in ends:
            return found.filter(**{f"{ends[state]}__isnull": False})
        still = found.filter(finished_at__isnull=True, cancelled_at__isnull=True)
        return {
            "open": still,
            "started": still.filter(started_at__isnull=False),
            "placed": still.filter(pk__in=placed),
            "unplaced": still.exclude(pk__in=placed),
        }[state]


class Visits(Endpoint):
    filterset_class = VisitFilter

    @does("visit.read", answers=VisitRow, many=True, paged=True)
    def get(self, ask: Ask) -> QuerySet[Visit]:
        """The visits that you may see, newest first."""
        seen = visible_visits(ask.by).select_related("job__site")
        return seen.prefetch_related("placements__crew")


class OneVisit(Endpoint):
    @does("visit.read", answers=VisitOut)
    def get(self, ask: Ask, visit_id: UUID) -> Visit:
        """One visit."""
        return whole_visit(ask.by, visit_id)

    @does("visit.change", takes=VisitChange, answers=VisitOut)
    def patch(self, ask: Ask, visit_id: UUID) -> Visit:
        """Change when the visit may be, with how many hands, and with which other visits."""
        visits.change(visit_id=visit_id, changes=ask.data, by=ask.by, now=ask.now)
        return whole_visit(ask.by, visit_id)


class VisitWindows(Endpoint):
    @does("visit.change", takes=WindowIn, takes_many=True, answers=VisitOut)
    def put(self, ask: Ask, visit_id: UUID) -> Visit:
        """Say anew when the customer lets the crew begin: a list, empty for any time."""
        visits.set_windows(visit_id=visit_id, windows=ask.data, by=ask.by, now=ask.now)
        return whole_visit(ask.by, visit_id)


class VisitLock(Endpoint):
    @does("visit.change", takes=LockIn, answers=VisitOut)
    def put(self, ask: Ask, visit_id: UUID) -> Visit:
        """Keep the published place from moving in a new plan, or let it move again."""
        visits.lock(visit_id=visit_id, by=ask.by, now=ask.now, **ask.data)
        return whole_visit(ask.by, visit_id)


class VisitConfirm(Endpoint):
    @does("visit.change", answers=VisitOut)
    def post(self, ask: Ask, visit_id: UUID) -> Visit:
        """The customer said yes to the published place."""
        visits.confirm(visit_id=visit_id, by=ask.by, now=ask.now)
        return whole_visit(ask.by, visit_id)


class VisitCancel(Endpoint):
    @does("visit.change", answers=VisitOut)
    def post(self, ask: Ask, visit_id: UUID) -> Visit:
        """Cancel a visit that has not ended."""
        visits.cancel(visit_id=visit_id, by=ask.by, now=ask.now)
        return whole_visit(ask.by, visit_id)


class JobVisits(Endpoint):
    @does("visit.read", answers=VisitOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[Visit]:
        """The visits of one job."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        return _whole(Visit.objects.filter(job=job_id))

    @does("visit.change", takes=VisitAdd, answers=VisitOut, status=201)
    def post(self, ask: Ask, job_id: UUID) -> Visit:
        """One more visit; a return visit may be about some pieces only."""
        entry, pieces = ask.data
        visit = visits.add(job_id=job_id, entry=entry, pieces=pieces, by=ask.by, now=ask.now)
        return whole_visit(ask.by, visit.pk)


def whole_visit(by: Person, visit_id: UUID) -> Visit:
    """One visit with all that is shown of it, in a fixed number of queries."""
    return _whole(visible_visits(by)).get(pk=visit_id)


def _whole(found: QuerySet[Visit]) -> QuerySet[Visit]:
    return found.prefetch_related("windows", "skills", "pieces", "placements__crew")


def _in_force() -> QuerySet[Placement]:
    return Placement.objects.filter(withdrawn_at__isnull=True)
