"""The tools and materials of a visit: what, how much, why, and by which rule."""

from uuid import UUID

from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.domain.kit import Group, Line, Unit, kit
from crewjobs.permissions import visible_visits


class KitLineOut(serializers.Serializer[Line]):
    """One thing to bring; its amount follows from the rule in its source, or a guess called one."""

    name = serializers.CharField()
    group = serializers.ChoiceField(choices=[str(each) for each in Group])
    value = serializers.FloatField(allow_null=True, help_text="Null: as the work shows")
    unit = serializers.ChoiceField(choices=[str(each) for each in Unit])
    size_mm = serializers.FloatField(allow_null=True, help_text="Of each: length or diameter")
    load_kg = serializers.FloatField(allow_null=True, help_text="What each bears at least")
    why = serializers.CharField(help_text="Which piece, seam or task asks for it")
    source = serializers.CharField()  # type: ignore[assignment]
    caution = serializers.CharField(allow_blank=True)


class VisitKit(Endpoint):
    @does("visit.read", answers=KitLineOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> tuple[Line, ...]:
        """What to load for a visit, by group."""
        visible_visits(ask.by).only("pk").get(pk=visit_id)
        return kit(snapshots.outing_of(visit_id))
