"""Plans: drafted, read, changed by hand, compared with what is published, published, discarded."""

from typing import Any
from uuid import UUID

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs.actions import large_plans, plans, replans, telling
from crewjobs.actions.plans import Change
from crewjobs.actions.telling import Call, Knows
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Moment, OneOf, Strict
from crewjobs.api.visits import DayOfVisit, PlacementOut
from crewjobs.domain.reminding import Window
from crewjobs.models import OutboxMessage, Person, Plan, PlannedVisit, PlanStatus, UnplacedVisit
from crewjobs.permissions import SEES_EVERYTHING
from crewjobs.snapshots.running import Event

MOST_SEED = 2_000_000_000


class PlanIn(Strict):
    first_on = Day()
    last_on = Day()
    seed = serializers.IntegerField(
        required=False, min_value=0, max_value=MOST_SEED, help_text="The same gives the same plan"
    )


class MoveIn(Strict):
    """Where one visit is to be; without a crew it is taken out of the plan."""

    visit = serializers.UUIDField()
    crew = serializers.UUIDField(allow_null=True, required=False, default=None)
    starts_at = Moment(allow_null=True, required=False, default=None)


class GoneIn(Strict):
    crew = serializers.UUIDField()
    since = Moment(help_text="From then on it does not work today")


class ReplanIn(Strict):
    """What dispatch knows of today beyond the rows."""

    gone = GoneIn(many=True, required=False)
    without_truck = serializers.ListField(
        child=serializers.UUIDField(), required=False, help_text="Crews that can carry no stone"
    )
    wanted = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        help_text="Visits to put in; without it, those that are new",
    )
    most_moved = serializers.IntegerField(
        required=False,
        min_value=0,
        max_value=1000,
        help_text="More than that are moved only if no calmer plan is found; figures has them all",
    )
    seed = serializers.IntegerField(
        required=False, min_value=0, max_value=MOST_SEED, help_text="The same gives the same plan"
    )


class PlanRow(serializers.ModelSerializer[Plan]):
    class Meta:
        model = Plan
        fields = [
            "id", "version", "first_on", "last_on", "status", "made_by", "published_at",
            "published_by", "seed", "figures", "findings", "created_at", "changed_at",
        ]  # fmt: skip


class PlannedOut(serializers.ModelSerializer[PlannedVisit]):
    number = serializers.CharField(source="visit.job.number", help_text="Of the job")
    kind = serializers.CharField(source="visit.kind")
    address = serializers.CharField(source="visit.job.site.address")
    crew_name = serializers.CharField(source="crew.name")
    parts = DayOfVisit(many=True, help_text="Its days, if they are more than one")

    class Meta:
        model = PlannedVisit
        fields = [
            "visit", "number", "kind", "address", "crew", "crew_name", "starts_at", "ends_at",
            "drive_min", "parts",
        ]  # fmt: skip


class ReasonOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    message = serializers.CharField()
    needs = serializers.FloatField(required=False)
    has = serializers.FloatField(required=False)


class UnplacedOut(serializers.ModelSerializer[UnplacedVisit]):
    number = serializers.CharField(source="visit.job.number", help_text="Of the job")
    kind = serializers.CharField(source="visit.kind")
    is_asked = serializers.BooleanField(help_text="Put to the planner, and not placed")
    reasons = ReasonOut(many=True)

    class Meta:
        model = UnplacedVisit
        fields = ["visit", "number", "kind", "is_asked", "reasons"]


class PlanOut(PlanRow):
    planned = PlannedOut(many=True)
    unplaced = UnplacedOut(many=True)

    class Meta(PlanRow.Meta):
        fields = [*PlanRow.Meta.fields, "planned", "unplaced"]


class PlannedPlace(serializers.ModelSerializer[PlannedVisit]):
    crew_name = serializers.CharField(source="crew.name")

    class Meta:
        model = PlannedVisit
        fields = ["crew", "crew_name", "starts_at", "ends_at"]


class ChangeOut(serializers.Serializer[Change]):
    """One visit that publishing would place otherwise."""

    visit = serializers.UUIDField(source="visit.pk")
    number = serializers.CharField(source="visit.job.number")
    before = PlacementOut(allow_null=True)
    after = PlannedPlace(allow_null=True)
    is_news = serializers.BooleanField(help_text="The customer was told another hour")
    customer = serializers.CharField(source="visit.job.customer.name")
    phone = serializers.CharField(source="visit.job.customer.phone")
    confirmed_at = serializers.DateTimeField(
        source="visit.customer_confirmed_at", allow_null=True, help_text="The customer said yes"
    )


class ArrivalOut(serializers.Serializer[Window]):
    """The hour that a customer is told."""

    earliest_at = serializers.DateTimeField(source="starts_at")
    latest_at = serializers.DateTimeField(source="ends_at")


class ToCallOut(serializers.Serializer[Any]):
    """A customer who expects the crew at another hour than the draft says."""

    visit = serializers.UUIDField(source="visit.pk")
    number = serializers.CharField(source="visit.job.number", help_text="Of the job")
    kind = serializers.CharField(source="visit.kind")
    knows = OneOf(Knows, help_text="Said yes, was told, or is reached by no message")
    name = serializers.CharField()
    phone = serializers.CharField(help_text="Empty if nobody wrote one down")
    before = ArrivalOut()
    after = ArrivalOut(allow_null=True, help_text="None if the visit loses its place")


class ToLeaveOut(serializers.ModelSerializer[OutboxMessage]):
    """A message that publishing would write."""

    number = serializers.CharField(source="job.number", help_text="Of the job")
    customer = serializers.CharField(source="job.customer.name")

    class Meta:
        model = OutboxMessage
        fields = ["visit", "number", "customer", "kind", "channel", "due_at"]


class ReplannedOut(PlanOut):
    """A draft from now on, and whom to call if it is published."""

    calls = serializers.SerializerMethodField()

    class Meta(PlanOut.Meta):
        fields = [*PlanOut.Meta.fields, "calls"]

    @extend_schema_field(ToCallOut(many=True))
    def get_calls(self, plan: Plan) -> object:
        """Who expects another arrival window than the draft has."""
        return ToCallOut(telling.calls(plan, now=self.context["view"].now), many=True).data


class Plans(Endpoint):
    @does("plan.read", answers=PlanRow, many=True, paged=True)
    def get(self, ask: Ask) -> QuerySet[Plan]:
        """The plans that you may see, newest first."""
        return seen(ask.by)

    @does("plan.make", takes=PlanIn, answers=PlanOut, status=201)
    def post(self, ask: Ask) -> Plan:
        """Draft a plan of some days to come; a large one is in the making for a while."""
        days = ask.data["first_on"], ask.data["last_on"]
        make = large_plans.begin if large_plans.is_large(*days) else plans.draft
        return _whole(ask.by, make(by=ask.by, now=ask.now, **ask.data).pk)


class PlanStop(Endpoint):
    @does("plan.make", answers=PlanOut)
    def post(self, ask: Ask, plan_id: UUID) -> Plan:
        """Take the best that a large plan in the making has come to so far as the draft."""
        seen(ask.by).only("pk").get(pk=plan_id)
        return _whole(ask.by, large_plans.stop(plan_id=plan_id, by=ask.by, now=ask.now).pk)


class Replan(Endpoint):
    @does("plan.make", takes=ReplanIn, answers=ReplannedOut, status=201)
    def post(self, ask: Ask) -> Plan:
        """Draft the rest of today and some days after it, moving as little as can be.

        With it comes whom to call.
        """
        event = Event(
            gone={each["crew"]: each["since"] for each in ask.data.get("gone", ())},
            without_truck=ask.data.get("without_truck", ()),
        )
        plan = replans.from_now(
            event=event,
            wanted=ask.data.get("wanted"),
            most_moved=ask.data.get("most_moved"),
            seed=ask.data.get("seed", 1),
            by=ask.by,
            now=ask.now,
        )
        return _whole(ask.by, plan.pk)


class OnePlan(Endpoint):
    @does("plan.read", answers=PlanOut)
    def get(self, ask: Ask, plan_id: UUID) -> Plan:
        """One plan: who goes where and when, and what could not be placed and why."""
        return _whole(ask.by, plan_id)


class PlanCompare(Endpoint):
    @does("plan.read", answers=ChangeOut, many=True)
    def get(self, ask: Ask, plan_id: UUID) -> list[Change]:
        """What publishing the plan would change."""
        if ask.by.role not in SEES_EVERYTHING:
            raise Plan.DoesNotExist
        return plans.compare(seen(ask.by).get(pk=plan_id))


class PlanCalls(Endpoint):
    @does("plan.make", answers=ToCallOut, many=True)
    def get(self, ask: Ask, plan_id: UUID) -> list[Call]:
        """Whom to call if a draft is published: who accepted, who was told, each by time."""
        return telling.calls(Plan.objects.get(pk=plan_id), now=ask.now)


class PlanMessages(Endpoint):
    @does("plan.make", answers=ToLeaveOut, many=True)
    def get(self, ask: Ask, plan_id: UUID) -> list[OutboxMessage]:
        """The messages that publishing a draft now would write, the soonest first."""
        return telling.to_leave(Plan.objects.get(pk=plan_id), now=ask.now)


class PlanPublish(Endpoint):
    @does("plan.publish", answers=PlanOut)
    def post(self, ask: Ask, plan_id: UUID) -> Plan:
        """Make the plan known: to calendars, to the crews, to the customers."""
        plans.publish(plan_id=plan_id, by=ask.by, now=ask.now)
        return _whole(ask.by, plan_id)


class PlanDiscard(Endpoint):
    @does("plan.make", answers=PlanRow)
    def post(self, ask: Ask, plan_id: UUID) -> Plan:
        """Put a draft aside."""
        return plans.discard(plan_id=plan_id, by=ask.by, now=ask.now)


class PlanMoves(Endpoint):
    @does("plan.make", takes=MoveIn, answers=PlanOut)
    def post(self, ask: Ask, plan_id: UUID) -> Plan:
        """Put one visit of a draft elsewhere by hand, or out of it."""
        plans.move(
            plan_id=plan_id,
            visit_id=ask.data["visit"],
            crew_id=ask.data["crew"],
            starts_at=ask.data["starts_at"],
            by=ask.by,
            now=ask.now,
        )
        return _whole(ask.by, plan_id)


def seen(by: Person) -> QuerySet[Plan]:
    """Drafts are the office's own; crews see what is published."""
    if by.role in SEES_EVERYTHING:
        return Plan.objects.all()
    return Plan.objects.filter(status=PlanStatus.PUBLISHED)


def _whole(by: Person, plan_id: UUID) -> Plan:
    """A plan with its visits; of a crew's plan only the crew's own."""
    planned = PlannedVisit.objects.select_related("visit__job__site", "crew")
    unplaced = UnplacedVisit.objects.select_related("visit__job")
    if by.role not in SEES_EVERYTHING:
        planned, unplaced = planned.filter(crew=by.crew_id), unplaced.none()
    return (
        seen(by)
        .prefetch_related(Prefetch("planned", planned), Prefetch("unplaced", unplaced))
        .get(pk=plan_id)
    )
