"""A job's way in, piece by piece: what geometry says, and three numbers of hands with their gaps.

Nothing here certifies a carry or a lift.
"""

from math import isfinite
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.domain import access, carrying, lifting
from crewjobs.domain.carrying import Carried, CarryIn
from crewjobs.permissions import visible_jobs


@extend_schema_field(serializers.FloatField(allow_null=True))
class Bounded(serializers.Field[float, float, float | None, Any]):
    """A length in millimetres; null where nothing bounds it."""

    def to_representation(self, value: float) -> float | None:
        """The length, or null."""
        return float(value) if isfinite(value) else None


class TiltOut(serializers.Serializer[access.Limit]):
    at = serializers.CharField(source="name")
    how = serializers.CharField(source="tilt", help_text="Pitch, one end up; or lean")
    tilt_deg = serializers.FloatField()


class VerdictOut(serializers.Serializer[access.Verdict]):
    answer = serializers.ChoiceField(choices=[str(each) for each in access.Answer])
    sentence = serializers.CharField(source="*", help_text="The answer with its place and numbers")
    margin_mm = Bounded(help_text="At the tightest element; below 0 so much too much")
    tightest = serializers.CharField(source="tightest.name", default="", help_text="Its name")
    measure_again = serializers.BooleanField(help_text="The margin is no margin")
    level_mm = Bounded(help_text="The longest piece of this depth that is admitted level")
    tilted_mm = Bounded(help_text="The same, where the crew tilts it")
    tilts = TiltOut(many=True)
    missing = serializers.ListField(child=serializers.CharField(), help_text="Not measured")
    seams_mm = serializers.ListField(
        child=serializers.FloatField(), help_text="Where a seam would make it pass, if one does"
    )
    is_cut_across_depth = serializers.BooleanField(help_text="Those places are along the depth")


class HandsOut(serializers.Serializer[lifting.Hands]):
    """Three numbers, never one: each knows something else."""

    mass_kg = serializers.FloatField()
    lower_share = serializers.FloatField(help_text="Of the mass, at the lower end")
    shop_people = serializers.IntegerField()
    shop_not_covered = serializers.CharField(default=lifting.SHOP_NOT_COVERED)
    guideline_people = serializers.IntegerField(
        allow_null=True, help_text="Null: more than a team of three may lift"
    )
    guideline_not_covered = serializers.CharField(default=lifting.GUIDELINE_NOT_COVERED)
    index_factor = serializers.FloatField(help_text="Lifting index of the largest share")
    index_not_covered = serializers.CharField(default=lifting.EQUATION_NOT_COVERED)
    asks_for_aid = serializers.BooleanField(help_text="One of the three asks for a lifting aid")


class CarriedOut(serializers.Serializer[Carried]):
    piece = serializers.CharField(source="piece.name")
    verdict = VerdictOut()
    hands = HandsOut()


class LongestOut(serializers.Serializer[carrying.Admitted]):
    """For the depth and thickness of the job's deepest and thickest piece."""

    depth_mm = serializers.FloatField()
    thickness_mm = serializers.FloatField()
    level_mm = Bounded(source="longest.level_mm")
    level_at = serializers.CharField(source="longest.level_at")
    tilted_mm = Bounded(source="longest.tilted_mm")
    tilted_at = serializers.CharField(source="longest.tilted_at")
    missing = serializers.ListField(
        source="longest.missing",
        child=serializers.CharField(),
        help_text="Not measured: the true figure may be smaller",
    )


class CarryInOut(serializers.Serializer[CarryIn]):
    pieces = CarriedOut(many=True)
    longest = LongestOut(source="admitted", allow_null=True)
    people = serializers.IntegerField(help_text="The team that the index is counted for")
    pitch_deg = serializers.FloatField(help_text="Of the steepest stairs that were measured")
    is_pitch_missing = serializers.BooleanField(help_text="Some stairs have no measured pitch")
    caution = serializers.CharField(default=carrying.CAUTION)


class JobCarryIn(Endpoint):
    @does("job.read", answers=CarryInOut)
    def get(self, ask: Ask, job_id: UUID) -> CarryIn:
        """Whether each piece goes in by the way that was measured, and how many carry it."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        return carrying.carry_in(snapshots.job(job_id))
