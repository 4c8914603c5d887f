"""Where one visit of a draft could be, what would place it, and who would have to move."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from crewjobs.actions import choices
from crewjobs.actions.choices import Choice, Mover, Way
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Strict

COST = "In tenths of a minute of driving"


class ChoiceOut(serializers.Serializer[Choice]):
    """One crew's day; without reasons the visit may go there."""

    crew = serializers.UUIDField()
    crew_name = serializers.CharField()
    day = serializers.DateField()
    starts_at = serializers.DateTimeField(allow_null=True)
    extra_cost = serializers.IntegerField(allow_null=True, help_text=COST)
    reasons = serializers.ListField(child=serializers.CharField())


class WayOut(serializers.Serializer[Way]):
    """Changes that together let a crew's day take the visit."""

    crew = serializers.UUIDField()
    crew_name = serializers.CharField()
    day = serializers.DateField()
    extra_cost = serializers.IntegerField(help_text=COST)
    changes = serializers.ListField(child=serializers.CharField())


class MoverOut(serializers.Serializer[Mover]):
    """Another visit that would have to move; without a day after, it would lose its place."""

    visit = serializers.UUIDField()
    name = serializers.CharField()
    crew_before = serializers.CharField()
    day_before = serializers.DateField(allow_null=True)
    crew_after = serializers.CharField()
    day_after = serializers.DateField(allow_null=True)


class MoversIn(Strict):
    crew = serializers.UUIDField()
    day = Day()


class MoversOut(serializers.Serializer[Any]):
    has_room = serializers.BooleanField(help_text="Whether a few moves make room")
    moves = MoverOut(many=True)


class Choices(Endpoint):
    @does("plan.make", answers=ChoiceOut, many=True)
    def get(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> list[Choice]:
        """Every crew's day for a visit of a draft: what it adds, or all that speaks against it."""
        return choices.choices(plan_id=plan_id, visit_id=visit_id, by=ask.by)


class Ways(Endpoint):
    @does("plan.make", answers=WayOut, many=True)
    def get(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> list[Way]:
        """The smallest sets of changes that would place a visit, fewest and cheapest first."""
        return choices.ways(plan_id=plan_id, visit_id=visit_id, by=ask.by)


class Movers(Endpoint):
    @does("plan.make", takes=MoversIn, answers=MoversOut)
    def post(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> dict[str, object]:
        """Who would have to move for a visit to be on a crew's day. Nothing is changed."""
        found = choices.movers(
            plan_id=plan_id,
            visit_id=visit_id,
            crew_id=ask.data["crew"],
            day=ask.data["day"],
            by=ask.by,
        )
        return {"has_room": found is not None, "moves": found or []}
