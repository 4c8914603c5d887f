"""Forms: the questions as this shop asks them, and what was answered about a visit or a piece."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import forms
from crewjobs.actions.forms import LONGEST, Entry, Given
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Fact, Length, Moment, OneOf
from crewjobs.domain import questions
from crewjobs.domain.questions import Expected, Form, Kind, Question, Where
from crewjobs.models import FilledForm
from crewjobs.permissions import visible_jobs, visible_visits

MOST_ANSWERS = 100


class QuestionOut(serializers.Serializer[Question]):
    """One question. A measure is held against what is expected, or between its own limits."""

    code = serializers.CharField()
    words = serializers.CharField()
    kind = OneOf(Kind)
    severity = serializers.CharField(help_text="What a bad answer means")
    is_required = serializers.BooleanField()
    choices = serializers.ListField(child=serializers.CharField())
    bad = serializers.ListField(child=serializers.CharField(), help_text="Choices that are bad")
    expects = OneOf(Expected, allow_null=True)
    minus_mm = serializers.FloatField(allow_null=True)
    plus_mm = serializers.FloatField(allow_null=True)
    least_mm = serializers.FloatField(allow_null=True)
    most_mm = serializers.FloatField(allow_null=True)
    asks_photo = serializers.BooleanField()
    asks_note = serializers.BooleanField(help_text="A bad answer is explained in words")
    where = OneOf(Where, help_text="Of which jobs or pieces it is asked")
    basis = serializers.CharField(
        source="source", help_text="Why it is asked, or its limit's source"
    )


class AnswerIn(Fact):
    """What was answered: `said` (yes, no, not applicable, a choice, a text), or a measure."""

    makes = Given

    said = serializers.CharField(required=False, max_length=LONGEST)
    measured_mm = Length(required=False)
    note = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST)


class Answers(serializers.DictField):
    """The answers by the question's code; questions that were left open are left out."""

    def __init__(self, **options: Any) -> None:
        super().__init__(child=AnswerIn(), allow_empty=False, **options)

    def to_internal_value(self, data: Any) -> dict[str, Given]:
        """What was answered, by code."""
        if isinstance(data, dict) and len(data) > MOST_ANSWERS:
            raise serializers.ValidationError(f"{MOST_ANSWERS} answers are the most.")
        read: dict[str, Given] = super().to_internal_value(data)
        return read


class FormIn(Fact):
    """One filled form. The same `client_id` again is the same form, and changes nothing."""

    makes = Entry

    form = OneOf(Form)
    client_id = serializers.UUIDField(help_text="Made by the phone")
    filled_at = Moment(help_text="By the phone's own clock")
    answers = Answers()


class FormOut(serializers.ModelSerializer[FilledForm]):
    class Meta:
        model = FilledForm
        fields = [
            "id", "client_id", "form", "job", "visit", "piece", "by", "filled_at", "created_at",
            "answers",
        ]  # fmt: skip


class OneForm(Endpoint):
    @does("shop.read", answers=QuestionOut, many=True)
    def get(self, _ask: Ask, form: str) -> tuple[Question, ...]:
        """The questions of a form as this shop asks them, in order."""
        named = {each.replace(" ", "-"): each for each in Form}
        if form not in named:
            raise Http404
        return questions.of_shop(snapshots.shop().questions)[named[form]]


class VisitForms(Endpoint):
    @does("visit.read", answers=FormOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> QuerySet[FilledForm]:
        """The forms about a visit, by their own times."""
        return visible_visits(ask.by).get(pk=visit_id).filled_forms.all()

    @does("visit.report", takes=FormIn, answers=FormOut, status=201)
    def post(self, ask: Ask, visit_id: UUID) -> FilledForm:
        """Send a filled form; what its answers mean is among the findings of the job."""
        return forms.fill(visit_id=visit_id, entry=ask.data, by=ask.by, now=ask.now)


class JobForms(Endpoint):
    @does("job.read", answers=FormOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[FilledForm]:
        """Every filled form of a job, inspections too, by their own times."""
        return visible_jobs(ask.by).get(pk=job_id).filled_forms.all()
