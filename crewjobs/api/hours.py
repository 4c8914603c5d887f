"""The hours: what was learned, which records look wrong, who does what when, who runs late."""

import json
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import hours, learning
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import OneOf, Strict
from crewjobs.api.visits import VisitOut, whole_visit
from crewjobs.domain.hours import Model, lessons
from crewjobs.models import HoursModel, Learned, Shop, Visit
from crewjobs.permissions import visible_visits
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


class VisitWorkingPlan(Endpoint):
    @does("visit.read", answers=PlannedTaskOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> Any:
        """Who does what when, as far as the expected hours go; by the start of each task."""
        visit = visible_visits(ask.by).only("job_id").get(pk=visit_id)
        job = snapshots.whole_jobs().get(pk=visit.job_id)
        return hours.as_estimated(job, visit_id, Shop.objects.get()).tasks


class LateVisits(Endpoint):
    @does("visit.read", answers=LateOut, many=True)
    def get(self, ask: Ask) -> list[Late]:
        """The running visits that are late, and whom they push back on the same day."""
        return snapshots.late(Shop.objects.get(), visible_visits(ask.by), now=ask.now)
