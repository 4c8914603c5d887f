"""Plans: drafted, changed by hand, compared, published, discarded.

Drafting reads, thinks outside any transaction, and writes. Every plan is judged by the verifier
before it is stored, and again, against the rows of that moment, before it is published.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import fmean
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from crewjobs import snapshots
from crewjobs.actions import (
    drafts,
    hours,
    log,
    messages,
    overrides,
    planner_words,
    stages,
    trades,
    visits,
)
from crewjobs.actions.errors import ConflictError, InvalidError, RefusedError
from crewjobs.domain import scheduling
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.reminding import arrival_window
from crewjobs.domain.scheduling import Schedule, Stop, risk
from crewjobs.models import (
    Crew,
    Job,
    Person,
    Placement,
    Plan,
    PlannedVisit,
    PlanStatus,
    UnplacedVisit,
    Visit,
)
from crewjobs.snapshots import Week

MOST_DAYS = 31
"""The longest plan: a month. Longer ones would be made of guesses."""

USUAL_STOP = scheduling.after_iterations(400, idle=120)
"""How long the search goes on unless somebody says otherwise. It counts, so that the same rows
and the same seed give the same plan."""


HOLDS_FOR = dt.timedelta(minutes=30)
"""How long a plan of a running day may be published. Common practice, not measured."""


WHOSE = ("visit__job__site", "visit__job__customer", "crew")
"""What a change is told with."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One visit that a plan would place otherwise than it is published now."""

    visit: Visit
    before: Placement | None
    after: PlannedVisit | None

    @property
    def is_news(self) -> bool:
        """Whether a customer who was told an hour has to be told another one, or none."""
        if self.before is None:
            return False
        if self.after is None:
            return True
        zone = self.visit.job.site.time_zone
        told, then = (arrival_window(at.starts_at, zone) for at in (self.before, self.after))
        return told != then


def draft(
    *,
    first_on: dt.date,
    last_on: dt.date,
    by: Person,
    now: datetime,
    seed: int = 1,
    stop: Stop = USUAL_STOP,
) -> Plan:
    """Plan some days to come. What is published there already stays where it is cheap to stay.

    Raises
    ------
    InvalidError
        If the days are past, in the wrong order, or too many.
    RefusedError
        If the verifier finds a rule broken: then nothing is stored.
    """
    log.require(by, "plan.make")
    check_days(first_on, last_on, now)
    week = snapshots.week(first_on, last_on)
    schedule = scheduling.solve(week.problem, seed=seed, stop=stop)
    verified(week, schedule)
    with transaction.atomic():
        plan = Plan.objects.create(
            created_at=now,
            changed_at=now,
            version=next_version(),
            first_on=first_on,
            last_on=last_on,
            made_by=by,
            seed=seed,
        )
        fill(plan, week, schedule, now=now)
        log.write("plan.make", plan, by=by, now=now, version=plan.version)
    return plan


@transaction.atomic
def move(
    *, plan_id: UUID, visit_id: UUID, crew_id: UUID | None, starts_at: datetime | None,
    by: Person, now: datetime,
) -> Plan:  # fmt: skip
    """Put one visit of a draft elsewhere by hand, or, without a crew, out of it.

    The visits that share its old and new day keep their order; their hours follow.

    Raises
    ------
    RefusedError
        With every rule that the move would break.
    """
    log.require(by, "plan.make")
    plan = _draft(plan_id)
    draft = drafts.read(plan)
    wish = _wish(draft, visit_id, crew_id, starts_at)
    schedule = scheduling.moved(draft.problem, draft.schedule, wish)
    _refuse_unless_done(schedule, wish)
    verified(replace(draft.week, problem=draft.problem), schedule)
    schedule = drafts.with_reasons(draft, schedule, wish=wish)
    more = drafts.of_a_running_day(draft, schedule, plan.figures)
    plan.planned.all().delete()
    plan.unplaced.all().delete()
    fill(plan, draft.week, drafts.to_store(draft, schedule), now=now)
    plan.figures |= more
    plan.changed_at = now
    plan.save()
    log.write("plan.move", plan, by=by, now=now, visit=str(visit_id), crew=str(crew_id or ""))
    return plan


def compare(plan: Plan) -> list[Change]:
    """What publishing the plan would change: visits that come, move, or lose their place."""
    planned = {each.visit_id: each for each in plan.planned.select_related(*WHOSE)}
    unplaced = plan.unplaced.values_list("visit", flat=True)
    in_force = {
        each.visit_id: each
        for each in Placement.objects.filter(
            visit__in=[*planned, *unplaced], withdrawn_at__isnull=True
        ).select_related(*WHOSE)
    }
    changes = [
        Change(
            visit=(planned.get(visit_id) or in_force[visit_id]).visit,
            before=in_force.get(visit_id),
            after=planned.get(visit_id),
        )
        for visit_id in {*planned, *in_force}
    ]
    return sorted((each for each in changes if _is_other(each)), key=_when)


@transaction.atomic
def publish(*, plan_id: UUID, by: Person, now: datetime) -> Plan:
    """Make a draft known: to calendars, to the crews, to the customers.

    Raises
    ------
    ConflictError
        If it is no draft any more, or its first day has come.
    RefusedError
        If the rows have changed so that the plan breaks a rule now: make it anew; or if a finding
        stops a visit and nobody answers for it.
    """
    log.require(by, "plan.publish")
    plan = _draft(plan_id)
    zone = snapshots.week_zone()
    if drafts.from_at(plan) is not None:
        _refuse_slipped(plan, now)
    elif snapshots.on_clock(now, zone)[0] >= plan.first_on:
        raise ConflictError(f"plan {plan.version} begins on {plan.first_on}: make it anew")
    else:
        draft = drafts.read(plan)
        _still_verified(draft.week, draft.schedule)
    changes = compare(plan)
    overrides.refuse_stopped((change.visit for change in changes if change.after), plan)
    for change in changes:
        _make_known(change, by=by, now=now)
    hours.for_crews([change.visit.pk for change in changes if change.after], now=now)
    plan.status, plan.published_at, plan.published_by = PlanStatus.PUBLISHED, now, by
    plan.changed_at = now
    plan.save()
    log.write("plan.publish", plan, by=by, now=now, version=plan.version, changes=len(changes))
    return plan


@transaction.atomic
def discard(*, plan_id: UUID, by: Person, now: datetime) -> Plan:
    """Put a draft aside."""
    log.require(by, "plan.make")
    plan = _draft(plan_id)
    plan.status, plan.changed_at = PlanStatus.DISCARDED, now
    plan.save()
    log.write("plan.discard", plan, by=by, now=now, version=plan.version)
    return plan


def check_days(first_on: dt.date, last_on: dt.date, now: datetime) -> None:
    """Refuse days that are past, in the wrong order, or too many."""
    today = snapshots.on_clock(now, snapshots.week_zone())[0]
    if first_on <= today:
        raise InvalidError({"/first_on": f"{first_on} is not after today, {today}"})
    if last_on < first_on:
        raise InvalidError({"/last_on": f"{last_on} is before {first_on}"})
    if (last_on - first_on).days >= MOST_DAYS:
        raise InvalidError({"/last_on": f"a plan is for {MOST_DAYS} days at most"})


def _refuse_slipped(plan: Plan, now: datetime) -> None:
    """Refuse a plan of a running day that the day has left behind."""
    began_at = drafts.from_at(plan)
    if began_at is None or now - began_at > HOLDS_FOR:
        raise ConflictError(f"plan {plan.version} is too old for a day that runs: plan again")
    began = plan.planned.filter(visit__started_at__isnull=False).exists()
    if began or drafts.lost(drafts.read(plan)):
        raise ConflictError(f"plan {plan.version} does not hold any more: plan again from now")


def next_version() -> int:
    """The number of the next plan."""
    newest = Plan.objects.aggregate(newest=Max("version"))["newest"]
    return (newest or 0) + 1


def verified(week: Week, schedule: Schedule) -> None:
    """Refuse a plan that breaks a rule."""
    _refuse_broken(scheduling.verify(week.problem, schedule))


def _still_verified(week: Week, schedule: Schedule) -> None:
    """Refuse a stored plan that breaks a rule by now. Its price may be another one by now."""
    broken = scheduling.verify(week.problem, schedule)
    _refuse_broken(finding for finding in broken if finding.code != "wrong_cost")


def _refuse_broken(findings: Iterable[Finding]) -> None:
    if stops := [finding for finding in findings if finding.severity is Severity.STOP]:
        names = planner_words.names_of_all()
        raise RefusedError(
            replace(stop, message=planner_words.in_words(stop.message, names)) for stop in stops
        )


def fill(plan: Plan, week: Week, schedule: Schedule, *, now: datetime) -> None:
    """Write what was planned into an empty plan."""
    PlannedVisit.objects.bulk_create(
        PlannedVisit(
            created_at=now,
            plan=plan,
            visit_id=each.visit_id,
            crew_id=each.crew_id,
            starts_at=each.starts_at,
            ends_at=each.ends_at,
            drive_min=each.drive_min,
            parts=each.parts,
        )
        for each in snapshots.held(week, schedule.placed)
    )
    names = planner_words.names_of_all()
    reasons = {
        snapshots.visit_id(each.visit): [
            planner_words.shown(reason, names) for reason in each.reasons
        ]
        for each in reversed(schedule.unplaced)
    }
    not_asked = {
        each.visit_id: [{"code": each.code, "message": each.message, "is_asked": False}]
        for each in week.left_out
    }
    reasons |= not_asked
    UnplacedVisit.objects.bulk_create(
        UnplacedVisit(created_at=now, plan=plan, visit_id=visit, reasons=found)
        for visit, found in reasons.items()
    )
    plan.figures = {
        **_figures(schedule),
        **_chances(week, schedule, plan.seed),
        "unplaced": len(reasons),
        "not_placed": len(reasons) - len(not_asked),
        "not_asked": len(not_asked),
    }
    plan.save()


def _chances(week: Week, schedule: Schedule, seed: int) -> dict[str, object]:
    """What becomes of the plan when visits take as long as they take, as simulated."""
    days = risk.chances(week.problem, schedule, seed=seed)
    if not days:
        return {}
    stops = [stop.in_window_share for day in days for stop in day.stops]
    return {
        "in_shift_share": round(fmean(day.in_shift_share for day in days), 3),
        "in_limit_share": round(fmean(day.in_limit_share for day in days), 3),
        "in_window_share": round(fmean(stops), 3),
    }


def _figures(schedule: Schedule) -> dict[str, object]:
    cost = schedule.cost
    return {
        "placed": len({snapshots.visit_id(each.visit) for each in schedule.placed}),
        "drive_min": sum(each.drive_min for each in schedule.placed),
        "cost": {
            "drive": cost.drive,
            "overtime": cost.overtime,
            "crew_days": cost.crew_days,
            "late": cost.late,
            "moved": cost.moved,
            "unplaced": cost.unplaced,
            "outside": cost.outside,
            "uneven": cost.uneven,
            "total": cost.total,
        },
    }


def _draft(plan_id: UUID) -> Plan:
    plan = Plan.objects.select_for_update().get(pk=plan_id)
    if plan.status != PlanStatus.DRAFT:
        raise ConflictError(f"plan {plan.version} is {plan.status}")
    return plan


def _wish(
    draft: drafts.Draft, visit_id: UUID, crew_id: UUID | None, starts_at: datetime | None
) -> scheduling.Wish:
    if str(visit_id) in draft.held:
        raise InvalidError({"/visit": "this visit has begun, or its crew is on the way to it"})
    if str(visit_id) not in {visit.id for visit in draft.problem.visits}:
        raise InvalidError({"/visit": "this visit cannot be planned in these days"})
    if crew_id is None:
        return scheduling.Wish(visit=str(visit_id), to=None)
    if starts_at is None or not Crew.objects.filter(pk=crew_id).exists():
        raise InvalidError({"/starts_at": "say with which crew and when the visit begins"})
    day, minute = snapshots.on_clock(starts_at, draft.week.zone)
    return scheduling.Wish(
        visit=str(visit_id),
        to=scheduling.Slot(crew=str(crew_id), day=day, start_min=minute),
    )


def _refuse_unless_done(schedule: Schedule, wish: scheduling.Wish) -> None:
    """Refuse a wish that could not be fulfilled, with every reason."""
    left_out = next((each for each in schedule.unplaced if each.visit == wish.visit), None)
    if wish.to is None or left_out is None:
        return
    _refuse_broken(
        Finding(code=reason.code, severity=Severity.STOP, message=reason.message, about=wish.visit)
        for reason in left_out.reasons
    )


def _is_other(change: Change) -> bool:
    before, after = change.before, change.after
    if before is None or after is None:
        return True
    return (before.crew_id, before.starts_at, before.ends_at) != (
        after.crew_id,
        after.starts_at,
        after.ends_at,
    )


def _when(change: Change) -> tuple[datetime, str]:
    at = change.after or change.before
    if at is None:
        raise ValueError("a change has a place before or after")
    return at.starts_at, str(change.visit.pk)


def _make_known(change: Change, *, by: Person, now: datetime) -> None:
    job = Job.objects.select_for_update().get(pk=change.visit.job_id)
    visit = Visit.objects.select_for_update().get(pk=change.visit.pk)
    visit.job = job
    if change.after is None:
        visits.withdraw(visit, now=now)
        log.write("visit.withdraw", visit, by=by, now=now, job=job)
        return
    before = visit.placement
    visit.sequence += 1
    visit.changed_at = now
    if before is not None and before.starts_at != change.after.starts_at:
        visit.customer_confirmed_at = None
    visit.save()
    if before is not None and before.crew_id != change.after.crew_id:
        before.withdrawn_at = before.changed_at = now
        before.sequence = visit.sequence
        before.save()
    placement = _place(visit, change.after, now=now)
    trades.refill(job.pk)
    tell = messages.visit_published if before is None else messages.visit_moved
    tell(visit=visit, placement=placement, now=now)
    where = {"crew": placement.crew.name, "starts_at": placement.starts_at.isoformat()}
    log.write("visit.publish", visit, by=by, now=now, job=job, **where)
    if visit.kind == VisitKind.INSTALL:
        stages.follow(job, Stage.PLANNED, by=by, now=now)


def _place(visit: Visit, planned: PlannedVisit, *, now: datetime) -> Placement:
    placement, _ = Placement.objects.update_or_create(
        visit=visit,
        crew_id=planned.crew_id,
        create_defaults={"created_at": now} | _place_of(visit, planned, now),
        defaults=_place_of(visit, planned, now),
    )
    return placement


def _place_of(visit: Visit, planned: PlannedVisit, now: datetime) -> dict[str, object]:
    return {
        "starts_at": planned.starts_at,
        "ends_at": planned.ends_at,
        "drive_min": planned.drive_min,
        "parts": planned.parts,
        "sequence": visit.sequence,
        "changed_at": now,
        "withdrawn_at": None,
    }
