"""How a crew's truck is loaded for a day, why so, and how it comes off again.

The plan knows no straps, axles and roads, and says of nothing that it is safe.
"""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day
from crewjobs.api.schema import FindingOut
from crewjobs.domain.loading import Frame, TruckDay, securing, truck_day
from crewjobs.domain.loading.overhangs import AtLimit
from crewjobs.domain.loading.plans import Place
from crewjobs.domain.loading.securing import Tied
from crewjobs.domain.loading.unloading import Step
from crewjobs.models import Crew, Plan
from crewjobs.permissions import SEES_EVERYTHING
from crewjobs.snapshots import Call, Load


@dataclass(frozen=True, kw_only=True, slots=True)
class Loaded:
    """A load with its plan."""

    load: Load
    day: TruckDay
    plan: UUID | None

    @property
    def rack(self) -> list[str]:
        """What stands in the rack for low pieces."""
        return [item.name for item in self.day.plan.rack]

    @property
    def thickness_left_mm(self) -> float:
        """Of the stack, pads included."""
        return self.day.plan.thickness_mm[0]

    @property
    def thickness_right_mm(self) -> float:
        """Of the stack, pads included."""
        return self.day.plan.thickness_mm[1]

    @property
    def imbalance(self) -> list[dict[str, float]]:
        """How far the sides differ, on departure and after each stop."""
        return [{"after_stop": stop, "apart_kg": apart} for stop, apart in self.day.apart_kg]

    @property
    def unloading(self) -> list[dict[str, object]]:
        """What comes off at each stop, in that order."""
        return [{"stop": stop, "steps": steps} for stop, steps in self.day.off.items()]


class FrameOut(serializers.Serializer[Frame]):
    """What the plan keeps within: the truck's own figures and the shop's limits."""

    length_mm = serializers.FloatField()
    height_mm = serializers.FloatField()
    depth_mm = serializers.FloatField(help_text="Of the stack on one side, pads included")
    pad_mm = serializers.FloatField()
    payload_kg = serializers.FloatField()
    side_kg = serializers.FloatField()
    free_overhang_mm = serializers.FloatField()
    most_overhang_mm = serializers.FloatField()
    free_imbalance_kg = serializers.FloatField()
    most_imbalance_kg = serializers.FloatField()
    rack_height_mm = serializers.FloatField(help_text="0: there is no rack for low pieces")
    rack_kg = serializers.FloatField()


class CallOut(serializers.Serializer[Call]):
    number = serializers.IntegerField()
    visit = serializers.UUIDField(source="visit.pk")
    kind = serializers.CharField(source="visit.kind")
    job = serializers.CharField(source="job.number")
    starts_at = serializers.DateTimeField()
    brings = serializers.ListField(child=serializers.CharField())


class PlaceOut(serializers.Serializer[Place]):
    """One piece on the frame; its place in the list is its place in the stack."""

    name = serializers.CharField(source="item.name", help_text="Job and piece")
    stop = serializers.IntegerField(source="item.stop")
    length_mm = serializers.FloatField(source="item.length_mm")
    height_mm = serializers.FloatField(source="item.height_mm")
    thickness_mm = serializers.FloatField(source="item.thickness_mm")
    mass_kg = serializers.FloatField(source="item.mass_kg")
    facing = serializers.CharField()
    is_turned_over = serializers.BooleanField(
        source="item.is_turned_over", help_text="Upside down, the weaker rail above"
    )
    overhang_mm = serializers.FloatField(help_text="Over the piece behind it")
    rehandles = serializers.IntegerField(help_text="How often it is taken off and put back")
    is_set_aside = serializers.BooleanField(help_text="At its stop, since it is wanted later")


class StepOut(serializers.Serializer[Step]):
    name = serializers.CharField(source="item.name")
    where = serializers.CharField()
    number = serializers.IntegerField(help_text="Of its place there, 1 is innermost")
    goes_back = serializers.BooleanField(help_text="It is only in the way")


class StopOffOut(serializers.Serializer[Any]):
    stop = serializers.IntegerField()
    steps = StepOut(many=True)


class AtLimitOut(serializers.Serializer[AtLimit]):
    most_overhang_mm = serializers.FloatField()
    is_own = serializers.BooleanField(help_text="The shop's own limit")
    rehandles = serializers.IntegerField()
    rehandle_kg = serializers.FloatField()
    is_feasible = serializers.BooleanField()


class ApartOut(serializers.Serializer[Any]):
    after_stop = serializers.IntegerField(help_text="0: on departure")
    apart_kg = serializers.FloatField(help_text="Left less right")


class TiedOut(serializers.Serializer[Tied]):
    """One side taken as one load."""

    length_mm = serializers.FloatField()
    mass_kg = serializers.FloatField()
    tie_downs = serializers.IntegerField()
    blocked_tie_downs = serializers.IntegerField(help_text="Blocked against moving forward")
    least_limit_kg = serializers.FloatField(help_text="Of the working load limits together")
    down_kg = serializers.FloatField(help_text="The pull downwards, as the weight of a mass")


class SecuringOut(serializers.Serializer[TruckDay]):
    left = TiedOut(source="left_tied")
    right = TiedOut(source="right_tied")
    basis = serializers.CharField(default=securing.SOURCE)
    caution = serializers.CharField(default=securing.CAUTION)


class LoadOut(serializers.Serializer[Loaded]):
    """Both sides innermost first. Names are of job and piece, stops count from 1."""

    crew = serializers.UUIDField(source="load.crew.pk")
    on = serializers.DateField(source="load.on")
    plan = serializers.UUIDField(allow_null=True, help_text="Null: as published")
    problems = FindingOut(many=True, source="day.plan.problems")
    is_exact = serializers.BooleanField(
        source="day.plan.is_exact", help_text="No plan is cheaper; else the best that was found"
    )
    frame = FrameOut(source="load.frame", allow_null=True, help_text="Null: there is no truck")
    stops = CallOut(many=True, source="load.calls")
    left = PlaceOut(many=True, source="day.plan.left")
    right = PlaceOut(many=True, source="day.plan.right")
    rack = serializers.ListField(
        child=serializers.CharField(), help_text="What stands in the rack for low pieces"
    )
    mass_kg = serializers.FloatField(source="day.mass_kg")
    thickness_left_mm = serializers.FloatField(help_text="Of the stack, pads included")
    thickness_right_mm = serializers.FloatField(help_text="Of the stack, pads included")
    imbalance = ApartOut(many=True, help_text="Of the sides, at every stage of the day")
    rehandles = serializers.IntegerField(source="day.plan.rehandles")
    rehandle_kg = serializers.FloatField(source="day.plan.rehandle_kg")
    overhangs = AtLimitOut(many=True, source="day.limits", help_text="What other limits cost")
    loading = StepOut(many=True, source="day.on")
    unloading = StopOffOut(many=True)
    securing = SecuringOut(source="day")


class CrewLoads(Endpoint):
    @does("crew.read", answers=LoadOut)
    def get(self, ask: Ask, crew_id: UUID) -> Loaded:
        """How the truck is loaded for a crew's day (`on`), as published or in a draft (`plan`)."""
        asked = ask.request.query_params
        on = Day().run_validation(asked.get("on"))
        crews, plan = Crew.objects.select_related("truck"), None
        if ask.by.role not in SEES_EVERYTHING:
            crews = crews.filter(members=ask.by)
        if named := asked.get("plan"):
            plan = _plan(ask, named)
        load = snapshots.load(crews.get(pk=crew_id), on, plan)
        day = truck_day(load.items, load.frame)
        return Loaded(load=load, day=day, plan=plan.pk if plan else None)


def _plan(ask: Ask, named: str) -> Plan:
    """The plan of that id; crews see no drafts."""
    if ask.by.role not in SEES_EVERYTHING:
        raise Plan.DoesNotExist
    return Plan.objects.get(pk=serializers.UUIDField().run_validation(named))
