"""Where one visit of a draft could go, what would place it, and who would have to move."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from crewjobs.actions import choices
from crewjobs.actions.choices import Cell, Mover, Said, Way
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day
from crewjobs.api.plans import ReasonOut

COST = "In tenths of a minute of driving"


class CellOut(serializers.Serializer[Cell]):
    """One crew's day; without reasons the visit may go there."""

    crew = serializers.UUIDField()
    crew_name = serializers.CharField()
    day = serializers.DateField()
    is_allowed = serializers.BooleanField()
    starts_at = serializers.DateTimeField(allow_null=True)
    extra_cost = serializers.IntegerField(allow_null=True, help_text=COST)
    reasons = ReasonOut(many=True, help_text="Every rule that it would break there")


class SaidOut(serializers.Serializer[Said]):
    """One thing to be done otherwise, in words and as data."""

    code = serializers.CharField(help_text="The reason that it takes away, or `move`")
    message = serializers.CharField()
    crew = serializers.UUIDField(allow_null=True)
    day = serializers.DateField(allow_null=True)
    visit = serializers.UUIDField(allow_null=True)
    fields_needed = serializers.DictField(
        source="fields", help_text="What the crew's day, or else the visit, would have to be"
    )
    to_crew = serializers.UUIDField(allow_null=True, help_text="Where the other visit would go")
    to_day = serializers.DateField(allow_null=True)


class WayOut(serializers.Serializer[Way]):
    """Changes that together let a crew's day take the visit; none is needed where it has room."""

    crew = serializers.UUIDField()
    crew_name = serializers.CharField()
    day = serializers.DateField()
    starts_at = serializers.DateTimeField()
    extra_cost = serializers.IntegerField(help_text=COST)
    changes = SaidOut(many=True)


class MoverOut(serializers.Serializer[Mover]):
    """Another visit that would have to move; without a moment after, it would lose its place."""

    visit = serializers.UUIDField()
    name = serializers.CharField()
    crew_before = serializers.CharField()
    before_at = serializers.DateTimeField(allow_null=True)
    crew_after = serializers.CharField()
    after_at = serializers.DateTimeField(allow_null=True)


class RoomOut(serializers.Serializer[Any]):
    """Whether a few moves make room, and which."""

    has_room = serializers.BooleanField()
    extra_cost = serializers.IntegerField(allow_null=True, help_text=COST)
    moves = MoverOut(many=True)


class VisitCells(Endpoint):
    @does("plan.make", answers=CellOut, many=True)
    def get(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> list[Cell]:
        """Every crew's day for a visit of a draft: what it adds, or every rule that it breaks."""
        return choices.cells(plan_id=plan_id, visit_id=visit_id, by=ask.by)


class VisitRemedies(Endpoint):
    @does("plan.make", answers=WayOut, many=True)
    def get(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> list[Way]:
        """The smallest sets of changes that would place a visit, fewest and cheapest first."""
        return choices.ways(plan_id=plan_id, visit_id=visit_id, by=ask.by)


class VisitRoom(Endpoint):
    @does("plan.make", answers=RoomOut)
    def get(self, ask: Ask, plan_id: UUID, visit_id: UUID) -> dict[str, object]:
        """Who would have to move for a visit to be with a `crew` on a `day`."""
        asked = ask.request.query_params
        found = choices.make_room(
            plan_id=plan_id,
            visit_id=visit_id,
            crew_id=serializers.UUIDField().run_validation(asked.get("crew")),
            day=Day().run_validation(asked.get("day")),
            by=ask.by,
        )
        if found is None:
            return {"has_room": False, "extra_cost": None, "moves": ()}
        return {"has_room": True, "extra_cost": found.extra_cost, "moves": found.moves}
