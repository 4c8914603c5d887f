"""The hours: what was learned, which records look wrong, who does what when, who runs late."""

import json
from math import isnan
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import hours, learning
from crewjobs.actions.hours import WorkingPlan
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Number, OneOf, Strict
from crewjobs.api.schema import FindingOut
from crewjobs.api.visits import VisitOut, whole_visit
from crewjobs.domain.hours import Model, accuracy, lessons
from crewjobs.domain.hours.what_if import Variant
from crewjobs.models import HoursModel, Learned, Shop, Visit
from crewjobs.permissions import visible_jobs, visible_visits
from crewjobs.snapshots import Late


class SuspectOut(serializers.Serializer[Any]):
    """A record that looks wrong, for the office to confirm or exclude."""

    visit = serializers.UUIDField(source="name")
    gross_share = serializers.FloatField(help_text="How likely the clock was wrong")
    actual_min = serializers.FloatField()
    expected_min = serializers.FloatField()


class ModelRow(serializers.ModelSerializer[HoursModel]):
    """A model in a list."""

    suspects = SuspectOut(many=True)

    class Meta:
        model = HoursModel
        fields = ["id", "version", "created_at", "visits", "suspects"]


class LessonOut(serializers.Serializer[Any]):
    """By what something is multiplied; four of five such factors lie between the limits."""

    title = serializers.CharField()
    low_factor = serializers.FloatField()
    factor = serializers.FloatField()
    high_factor = serializers.FloatField()


class ModelOut(ModelRow):
    """A whole model."""

    by_element = serializers.SerializerMethodField(help_text="On the minutes of each element")
    by_crew = serializers.SerializerMethodField(help_text="On the hours of each crew")
    content = serializers.SerializerMethodField(help_text="What an estimate is made anew from")

    class Meta(ModelRow.Meta):
        fields = [*ModelRow.Meta.fields, "by_element", "by_crew", "content"]

    @extend_schema_field(LessonOut(many=True))
    def get_by_element(self, row: HoursModel) -> Any:
        """The factors on the standard minutes of each element."""
        return LessonOut(lessons.by_element(Model.from_json(row.content)), many=True).data

    @extend_schema_field(LessonOut(many=True))
    def get_by_crew(self, row: HoursModel) -> Any:
        """The factors on the hours of each crew."""
        return LessonOut(lessons.by_crew(Model.from_json(row.content)), many=True).data

    def get_content(self, row: HoursModel) -> dict[str, Any]:
        """The model itself."""
        content: dict[str, Any] = json.loads(row.content)
        return content


class VariantLine(serializers.Serializer[Any]):
    """One line of expected hours; together they are the P50."""

    name = serializers.CharField(source="title")
    minutes = serializers.FloatField(source="value_min")
    note = serializers.CharField(allow_blank=True)


class Known(serializers.FloatField):
    """A number, or nothing where it is none."""

    def __init__(self, **options: Any) -> None:
        super().__init__(allow_null=True, **options)

    def to_representation(self, value: float) -> float | None:  # type: ignore[override]
        """The number, if it is one."""
        return None if isnan(value) else value


class LearnedIn(Strict):
    learned = OneOf(Learned)


class PlannedTaskOut(serializers.Serializer[Any]):
    """One task, in minutes from the start of the work."""

    name = serializers.CharField()
    element = serializers.CharField()
    start_min = serializers.FloatField()
    end_min = serializers.FloatField()
    hands = serializers.IntegerField(help_text="0 when only adhesive works")
    people = serializers.ListField(child=serializers.IntegerField(), help_text="From 1")
    is_critical = serializers.BooleanField(help_text="On the chain that decides the end")


class BatchesOut(serializers.Serializer[Any]):
    """What a crew mixes for one seam; the maker's data sheet goes before any figure here."""

    seam = serializers.CharField(source="seam.name")
    method = serializers.CharField(source="seam.method")
    volume_ml = serializers.FloatField(source="takes.volume_ml")
    working_min = serializers.FloatField(
        source="takes.working_min", help_text="How long one batch stays workable"
    )
    placing_min = serializers.FloatField(source="takes.placing_min")
    batches = serializers.IntegerField(source="takes.batches")


class WorkingPlanOut(serializers.Serializer[Any]):
    """Who does what when, from the start of the work."""

    people = serializers.IntegerField()
    tasks = PlannedTaskOut(many=True)
    batches = BatchesOut(source="mixed", many=True)
    saved_min = serializers.FloatField(help_text="Sooner than by the usual order of work")


class WhatIfIn(Strict):
    visit = serializers.UUIDField(required=False, help_text="Left out: the first install visit")
    temperatures_deg_c = serializers.ListField(
        child=Number(min_value=-20, max_value=50), required=False, max_length=5
    )


class VariantOut(serializers.Serializer[Variant]):
    """A visit done in another way."""

    title = serializers.CharField()
    hands = serializers.IntegerField(source="team.hands")
    p50_min = serializers.FloatField(source="hours.p50_min")
    p80_min = serializers.FloatField(source="hours.p80_min")
    p90_min = serializers.FloatField(source="hours.p90_min")
    hours_lines = VariantLine(many=True, source="hours.lines")
    findings = FindingOut(many=True, source="hours.findings")


class AccuracyRowOut(serializers.Serializer[Any]):
    """How well one group of visits was foretold."""

    by = serializers.CharField(help_text="all, crew, element or month")
    name = serializers.CharField()
    visits = serializers.IntegerField()
    error_share = serializers.FloatField(help_text="Mean of how far the P50 was off")
    bias_share = serializers.FloatField(help_text="Above 0: it took longer, in the middle visit")
    kept80_share = Known(help_text="Nothing for elements, which have no limit of their own")
    kept90_share = Known()


class ForetoldOut(serializers.Serializer[Any]):
    """A finished visit and the estimate in force when it began."""

    visit = serializers.UUIDField(source="visit.pk")
    number = serializers.CharField(source="visit.job.number")
    crew = serializers.CharField(source="pair.crew", allow_blank=True)
    finished_on = serializers.DateField(source="pair.finished_on")
    p50_min = serializers.FloatField(source="pair.p50_min")
    p80_min = serializers.FloatField(source="pair.p80_min")
    p90_min = serializers.FloatField(source="pair.p90_min")
    actual_min = serializers.FloatField(source="pair.actual_min")
    model_version = serializers.IntegerField(
        source="visit.hours_model.version", default=None, allow_null=True
    )


class AccuracyOut(serializers.Serializer[Any]):
    """The whole report."""

    rows = AccuracyRowOut(many=True)
    visits = ForetoldOut(many=True)


class PushedOut(serializers.Serializer[Any]):
    """A visit behind a late one."""

    visit = serializers.UUIDField(source="place.visit_id")
    number = serializers.CharField(source="place.visit.job.number")
    starts_at = serializers.DateTimeField(source="place.starts_at")
    expected_at = serializers.DateTimeField(help_text="When it may begin now")


class LateOut(serializers.Serializer[Late]):
    """A running visit that threatens those behind it."""

    visit = serializers.UUIDField(source="place.visit_id")
    number = serializers.CharField(source="place.visit.job.number")
    crew = serializers.UUIDField(source="place.crew_id")
    crew_name = serializers.CharField(source="place.crew.name")
    lateness = serializers.CharField()
    late_min = serializers.FloatField()
    ends_at = serializers.DateTimeField(source="place.ends_at", help_text="As published")
    finish_p50_at = serializers.DateTimeField()
    finish_p80_at = serializers.DateTimeField()
    behind = PushedOut(many=True)


class Models(Endpoint):
    @does("hours.read", answers=ModelRow, many=True, paged=True)
    def get(self, _ask: Ask) -> QuerySet[HoursModel]:
        """Every model that was ever in use, the newest first."""
        return HoursModel.objects.defer("content")


class OneModel(Endpoint):
    @does("hours.read", answers=ModelOut)
    def get(self, _ask: Ask, model_id: UUID) -> HoursModel:
        """One model, what it learned, and all of it to estimate by."""
        return HoursModel.objects.get(pk=model_id)


class VisitLearned(Endpoint):
    @does("hours.judge", takes=LearnedIn, answers=VisitOut)
    def post(self, ask: Ask, visit_id: UUID) -> Visit:
        """Say whether a finished visit's hours are right or wrong; the hours are learned anew."""
        learning.judge(visit_id=visit_id, by=ask.by, now=ask.now, **ask.data)
        return whole_visit(ask.by, visit_id)


class ShorterPlan(Endpoint):
    @does("visit.read", answers=WorkingPlanOut)
    def get(self, ask: Ask, visit_id: UUID) -> WorkingPlan:
        """A shorter order of work, sought for about a second. The expected hours stay as they are.

        No crew has worked by it so far: what it saves is computed, not measured.
        """
        return _working_plan(ask, visit_id, is_sought=True)


class VisitWorkingPlan(Endpoint):
    @does("visit.read", answers=WorkingPlanOut)
    def get(self, ask: Ask, visit_id: UUID) -> WorkingPlan:
        """Who does what when, as far as the expected hours go; by the start of each task."""
        return _working_plan(ask, visit_id, is_sought=False)


def _working_plan(ask: Ask, visit_id: UUID, *, is_sought: bool) -> WorkingPlan:
    job_id = visible_visits(ask.by).get(pk=visit_id).job_id
    job = snapshots.whole_jobs().get(pk=job_id)
    visit = next(each for each in job.visits.all() if each.pk == visit_id)
    return hours.working_plan(visit, job, Shop.objects.get(), is_sought=is_sought)


class JobWhatIf(Endpoint):
    @does("job.read", takes=WhatIfIn, answers=VariantOut, many=True)
    def post(self, ask: Ask, job_id: UUID) -> tuple[Variant, ...]:
        """The hours under other circumstances, all in one answer; nothing is changed."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        row = snapshots.whole_jobs().get(pk=job_id)
        visit = hours.main_visit(row)
        if named := ask.data.get("visit"):
            visit = next((each for each in row.visits.all() if each.pk == named), None)
        if visit is None:
            raise Visit.DoesNotExist
        degrees = ask.data.get("temperatures_deg_c", ())
        return hours.what_if(row, visit, Shop.objects.get(), temperatures_deg_c=degrees)


class Accuracy(Endpoint):
    @does("hours.read", answers=AccuracyOut)
    def get(self, _ask: Ask) -> dict[str, Any]:
        """How well the hours in force at the start foretold the actual ones."""
        found = snapshots.foretold(Shop.objects.get())
        return {"rows": accuracy.rows([each.pair for each in found]), "visits": found}


class LateVisits(Endpoint):
    @does("visit.read", answers=LateOut, many=True)
    def get(self, ask: Ask) -> list[Late]:
        """The running visits that are late, and whom they push back on the same day."""
        return snapshots.late(Shop.objects.get(), visible_visits(ask.by), now=ask.now)
