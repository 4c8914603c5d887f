"""Every check of one job at once, also of what might be; what stops a plan, and who answers for it.

Nothing here certifies: no finding means no rule broken that we know of.
"""

from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import loads, overrides, plans
from crewjobs.actions.overrides import Stopped
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Strict, several
from crewjobs.api.office import OwnLimits
from crewjobs.api.plans import seen
from crewjobs.api.schema import FindingOut
from crewjobs.api.stone import MOST_PIECES, PieceEntry, RouteIn, StoneIn
from crewjobs.domain import facts, limits, rules
from crewjobs.domain.facts import Job, Team
from crewjobs.domain.findings import Finding
from crewjobs.models import Override, Placement, Plan, Visit
from crewjobs.permissions import SEES_EVERYTHING, visible_jobs, visible_visits

CAUTION = (
    "No finding means that no rule is broken that we know of, with what is measured. Local codes, "
    "the makers' data sheets and licensed trades come first."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Supposed:
    """What a body supposes instead of what is stored."""

    work: dict[str, Any]
    limits: dict[str, float | None]
    people: int | None


class CheckIn(StoneIn):
    """What is named counts instead of what is stored, for this answer alone."""

    route = several(RouteIn, most=MOST_PIECES)
    limits = OwnLimits(required=False, help_text="Of the shop, clearances among them")
    people = serializers.IntegerField(required=False, min_value=1, max_value=20)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """What is supposed, by the names of the facts."""
        own, people = attrs.pop("limits", {}), attrs.pop("people", None)
        if faults := limits.faults({code: v for code, v in own.items() if v is not None}):
            raise serializers.ValidationError({"limits": {c: [f] for c, f in faults.items()}})
        work = {name: tuple(v) if isinstance(v, list) else v for name, v in attrs.items()}
        if "pieces" in work:
            entries: tuple[PieceEntry, ...] = work["pieces"]
            work["pieces"] = tuple(entry.piece for entry in entries)
            work["supports"] = tuple(each for entry in entries for each in entry.supports)
            work.setdefault("seams", ())
        return Supposed(work=work, limits=own, people=people)


class CheckOut(serializers.Serializer[Any]):
    findings = FindingOut(many=True, help_text="Heaviest first")
    caution = serializers.CharField(default=CAUTION)


class OverrideIn(Strict):
    """The finding as it reads, and why the visit goes out all the same."""

    code = serializers.CharField(max_length=60)
    about = serializers.CharField(max_length=120, allow_blank=True, default="")
    message = serializers.CharField(max_length=4000)
    reason = serializers.CharField(max_length=overrides.LONGEST)


class OverrideOut(serializers.ModelSerializer[Override]):
    by = serializers.CharField(source="by.name")

    class Meta:
        model = Override
        fields = ["id", "visit", "code", "about", "message", "reason", "by", "created_at"]


class StoppedOut(serializers.Serializer[Stopped]):
    visit = serializers.UUIDField(source="visit.pk")
    number = serializers.CharField(source="visit.job.number", help_text="Of the job")
    kind = serializers.CharField(source="visit.kind")
    finding = FindingOut()
    override = OverrideOut(allow_null=True, help_text="Null: nobody answers for it yet")


class JobCheck(Endpoint):
    @does("job.read", takes=CheckIn, answers=CheckOut)
    def post(self, ask: Ask, job_id: UUID) -> dict[str, tuple[Finding, ...]]:
        """Check one job and its days' loads, or with other stone, way in, limits or people."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        job = _supposed(snapshots.job(job_id), ask.data)
        return {"findings": (*loads.of_job(job, _days(ask, job_id)), *rules.advise(job))}


class PlanStops(Endpoint):
    @does("plan.read", answers=StoppedOut, many=True)
    def get(self, ask: Ask, plan_id: UUID) -> list[Stopped]:
        """What stops visits that the plan would publish, and who answers for it."""
        if ask.by.role not in SEES_EVERYTHING:
            raise Plan.DoesNotExist
        plan = seen(ask.by).get(pk=plan_id)
        changes = plans.compare(plan)
        return overrides.stopped((change.visit for change in changes if change.after), plan)


class VisitOverrides(Endpoint):
    @does("visit.read", answers=OverrideOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> Any:
        """Who answered for which finding of the visit."""
        visit: Visit = visible_visits(ask.by).get(pk=visit_id)
        return visit.overrides.select_related("by")

    @does("visit.override", takes=OverrideIn, answers=OverrideOut, status=201)
    def post(self, ask: Ask, visit_id: UUID) -> Override:
        """Answer for a finding that stops the visit; it holds while the finding reads the same."""
        reason = ask.data.pop("reason")
        said = overrides.Said(**ask.data)
        return overrides.answer(visit_id=visit_id, said=said, reason=reason, by=ask.by, now=ask.now)


def _days(ask: Ask, job_id: UUID) -> QuerySet[Placement]:
    """The days to come on which a visit of the job is published; to a crew, its own."""
    ahead = Placement.objects.filter(
        visit__job=job_id,
        visit__cancelled_at__isnull=True,
        withdrawn_at__isnull=True,
        ends_at__gte=ask.now,
    ).select_related("crew__truck")
    return ahead if ask.by.role in SEES_EVERYTHING else ahead.filter(crew__members=ask.by)


def _supposed(job: Job, supposed: Supposed) -> Job:
    try:
        work = facts.Work(**(_fields(job.work) | supposed.work))
    except ValueError as error:
        raise serializers.ValidationError([str(error)]) from error
    own = {code: getattr(job.limits, code) for code in limits.KNOWN} | {
        code: limits.KNOWN[code].value if value is None else value
        for code, value in supposed.limits.items()
    }
    team = Team(hands=supposed.people) if supposed.people else job.team
    return replace(job, work=work, limits=limits.Limits.of(own), team=team)


def _fields(work: facts.Work) -> dict[str, Any]:
    return {name: getattr(work, name) for name in work.__dataclass_fields__}
