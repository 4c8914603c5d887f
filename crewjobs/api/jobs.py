"""Jobs: listed, booked, read whole, changed, held, cancelled."""

from typing import Any
from uuid import UUID

import django_filters
from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import jobs, stages
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Length, Number, OneOf, Strict
from crewjobs.api.orders import MOST_CENTS, WorkOrderIn
from crewjobs.api.paging import NewestLines
from crewjobs.api.schema import FindingOut
from crewjobs.api.sites import CustomerOut, SiteOut
from crewjobs.api.stone import PieceOut, RouteOut, SeamOut
from crewjobs.api.visits import VisitOut
from crewjobs.domain import rules
from crewjobs.domain.facts import HoldReason, Stage
from crewjobs.domain.findings import Finding
from crewjobs.models import (
    AuditEntry,
    Hold,
    Job,
    OpenItem,
    Person,
    Priority,
    SignOff,
    TradeWork,
)
from crewjobs.permissions import visible_jobs

WHOLE = (
    "site__contacts", "site__hours", "pieces__cutouts", "pieces__supports", "seams__first",
    "seams__second", "route", "holds", "visits__windows", "visits__skills", "visits__pieces",
    "visits__placements__crew", "open_items", "trade_work",
)  # fmt: skip


class HoldOut(serializers.ModelSerializer[Hold]):
    class Meta:
        model = Hold
        fields = ["id", "reason", "note", "created_at", "placed_by", "released_at", "released_by"]


class OpenItemOut(serializers.ModelSerializer[OpenItem]):
    class Meta:
        model = OpenItem
        fields = [
            "id", "what", "created_at", "opened_by", "closed_at", "closed_by", "is_accepted",
        ]  # fmt: skip


class TradeWorkOut(serializers.ModelSerializer[TradeWork]):
    class Meta:
        model = TradeWork
        fields = ["id", "trade", "what", "earliest_at", "earliest_is_set", "done_at"]


class SignOffOut(serializers.ModelSerializer[SignOff]):
    class Meta:
        model = SignOff
        fields = [
            "id", "signer_name", "way", "document", "document_sha256", "witnessed_by", "signed_at",
        ]  # fmt: skip


class JobRow(serializers.ModelSerializer[Job]):
    """A job in a list."""

    customer_name = serializers.CharField(source="customer.name")
    address = serializers.CharField(source="site.address")
    holds = serializers.SerializerMethodField()

    class Meta:
        model = Job
        fields = [
            "id", "number", "title", "customer_name", "address", "stage", "priority", "due_on",
            "stone_ready_on", "holds", "balance_cents", "cancelled_at", "created_at", "changed_at",
            "version",
        ]  # fmt: skip

    def get_holds(self, job: Job) -> list[str]:
        """The reasons for which it is held."""
        return [hold.reason for hold in job.holds.all() if hold.released_at is None]


class JobOut(serializers.ModelSerializer[Job]):
    """A whole job."""

    customer = CustomerOut()
    site = SiteOut()
    pieces = PieceOut(many=True)
    seams = SeamOut(many=True)
    route = RouteOut(many=True)
    visits = VisitOut(many=True)
    holds = HoldOut(many=True)
    open_items = OpenItemOut(many=True)
    trade_work = TradeWorkOut(many=True)
    sign_off = serializers.SerializerMethodField()

    class Meta:
        model = Job
        fields = [
            "id", "number", "title", "customer", "site", "stage", "priority", "due_on",
            "stone_ready_on", "tear_out_mm", "cabinet_run_mm", "temperature_deg_c",
            "has_dishwasher", "off_level_mm", "balance_cents", "note", "pieces", "seams", "route",
            "visits", "holds", "open_items", "trade_work", "sign_off", "cancelled_at",
            "cancel_reason", "created_at", "changed_at", "version",
        ]  # fmt: skip

    @extend_schema_field(SignOffOut(allow_null=True))
    def get_sign_off(self, job: Job) -> Any:
        """The signature, once there is one."""
        return SignOffOut(job.sign_off).data if hasattr(job, "sign_off") else None


class JobChange(Strict):
    """What the office edits in place. A `version` refuses a change of what was not read."""

    version = serializers.IntegerField(required=False, min_value=1)
    title = serializers.CharField(allow_blank=True, max_length=160)
    priority = OneOf(Priority)
    due_on = Day(allow_null=True)
    stone_ready_on = Day(allow_null=True)
    balance_cents = serializers.IntegerField(min_value=0, max_value=MOST_CENTS)
    note = serializers.CharField(allow_blank=True, max_length=4000)
    tear_out_mm = Length()
    cabinet_run_mm = Length()
    temperature_deg_c = Number(min_value=-30, max_value=60)
    has_dishwasher = serializers.BooleanField()
    off_level_mm = Length(allow_null=True)


class HoldIn(Strict):
    reason = OneOf(HoldReason)
    note = serializers.CharField(required=False, allow_blank=True, max_length=400)


class StageIn(Strict):
    stage = OneOf(Stage)


class CancelIn(Strict):
    reason = serializers.CharField(max_length=200)


class LogLine(serializers.ModelSerializer[AuditEntry]):
    by_name = serializers.CharField(source="by.name", default="", help_text="Who did it")

    class Meta:
        model = AuditEntry
        fields = ["number", "at", "by", "by_name", "verb", "thing", "thing_id", "job", "detail"]


class JobFilter(django_filters.FilterSet):
    stage = django_filters.MultipleChoiceFilter(choices=[(str(s), str(s)) for s in Stage])
    priority = django_filters.MultipleChoiceFilter(choices=[(str(p), str(p)) for p in Priority])
    due_from = django_filters.DateFilter(field_name="due_on", lookup_expr="gte")
    due_to = django_filters.DateFilter(field_name="due_on", lookup_expr="lte")
    held = django_filters.BooleanFilter(method="by_hold", label="held or not")
    cancelled = django_filters.BooleanFilter(
        field_name="cancelled_at", lookup_expr="isnull", exclude=True
    )
    text = django_filters.CharFilter(method="by_text", label="in number, title, customer, street")

    def by_hold(self, found: QuerySet[Job], _name: str, held: bool) -> QuerySet[Job]:
        open_holds = Hold.objects.filter(released_at__isnull=True).values("job")
        return found.filter(pk__in=open_holds) if held else found.exclude(pk__in=open_holds)

    def by_text(self, found: QuerySet[Job], _name: str, text: str) -> QuerySet[Job]:
        return found.filter(
            Q(number__icontains=text)
            | Q(title__icontains=text)
            | Q(customer__name__icontains=text)
            | Q(site__street__icontains=text)
        )


class Jobs(Endpoint):
    filterset_class = JobFilter

    @does("job.read", answers=JobRow, many=True, paged=True)
    def get(self, ask: Ask) -> QuerySet[Job]:
        """The jobs that you may see, newest first."""
        return visible_jobs(ask.by).select_related("customer", "site").prefetch_related("holds")

    @does("job.book", takes=WorkOrderIn, answers=JobOut, status=201)
    def post(self, ask: Ask) -> Job:
        """Book a work order: the whole job in one request."""
        job = jobs.book(order=ask.data, by=ask.by, now=ask.now)
        return whole(ask.by, job.pk)


class OneJob(Endpoint):
    @does("job.read", answers=JobOut)
    def get(self, ask: Ask, job_id: UUID) -> Job:
        """One job with everything that belongs to it."""
        return whole(ask.by, job_id)

    @does("job.change", takes=JobChange, answers=JobOut)
    def patch(self, ask: Ask, job_id: UUID) -> Job:
        """Change what the office edits in place."""
        version = ask.data.pop("version", None)
        jobs.change(job_id=job_id, changes=ask.data, version=version, by=ask.by, now=ask.now)
        return whole(ask.by, job_id)


class JobHolds(Endpoint):
    @does("job.read", answers=HoldOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[Hold]:
        """Every hold of the job, the released ones too."""
        return visible_jobs(ask.by).get(pk=job_id).holds.all()

    @does("job.hold", takes=HoldIn, answers=HoldOut, status=201)
    def post(self, ask: Ask, job_id: UUID) -> Hold:
        """Let the job wait for a reason."""
        return jobs.hold(job_id=job_id, by=ask.by, now=ask.now, **ask.data)


class OneHold(Endpoint):
    @does("job.hold")
    def delete(self, ask: Ask, job_id: UUID, hold_id: UUID) -> None:
        """Release a hold."""
        reason = HoldReason(Hold.objects.get(pk=hold_id, job=job_id).reason)
        jobs.release(job_id=job_id, reason=reason, by=ask.by, now=ask.now)


class JobStage(Endpoint):
    @does("job.advance", takes=StageIn, answers=JobOut)
    def post(self, ask: Ask, job_id: UUID) -> Job:
        """Say that the job has come to its next stage, or learn every reason why it has not."""
        stages.advance(job_id=job_id, entering=ask.data["stage"], by=ask.by, now=ask.now)
        return whole(ask.by, job_id)


class JobCancel(Endpoint):
    @does("job.cancel", takes=CancelIn, answers=JobOut)
    def post(self, ask: Ask, job_id: UUID) -> Job:
        """Cancel the job and every visit of it that has not ended."""
        jobs.cancel(job_id=job_id, reason=ask.data["reason"], by=ask.by, now=ask.now)
        return whole(ask.by, job_id)


class JobFindings(Endpoint):
    @does("job.read", answers=FindingOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> tuple[Finding, ...]:
        """What the checks say of the job: no rule broken that we know of, or which ones."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        return rules.advise(snapshots.job(job_id))


class JobLog(Endpoint):
    pagination_class = NewestLines

    @does("audit.read", answers=LogLine, many=True, paged=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[AuditEntry]:
        """Who did what to the job, newest first."""
        return visible_jobs(ask.by).get(pk=job_id).audit_entries.select_related("by")


def whole(by: Person, job_id: UUID) -> Job:
    """One job with all that is shown of it, in a fixed number of queries."""
    seen = visible_jobs(by).select_related("customer", "site", "sign_off")
    return seen.prefetch_related(*WHOLE).get(pk=job_id)
