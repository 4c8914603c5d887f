"""Plans too large for one search: made in parts, turn after turn, by as many workers as there are.

Each part is an errand of the outbox. Whoever plans the last part of a turn joins them and cuts
anew. What comes out does not depend on how many workers there are, nor on which does what.
"""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import ceil
from typing import Any
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log, plans, queueing
from crewjobs.actions.errors import ConflictError
from crewjobs.domain import scheduling
from crewjobs.domain.scheduling import Problem, Schedule, records, territory
from crewjobs.domain.scheduling.territory import MOST_CREW_DAYS, Part
from crewjobs.models import Channel, Crew, Making, OutboxMessage, Person, Plan, PlanPart, PlanStatus

PLAN_PART = "plan part"
"""The errand that plans one part."""

LARGE_CREW_DAYS = 150
"""From so many crew-days on a plan is made in parts."""

TURNS = 3
"""After the first cut. ``tests.bench.territories`` prints what each wins; two were measured."""

STOP = scheduling.after_iterations(400, idle=120)
"""For each part of each turn. It counts, so that the same rows and seed give the same plan."""

AS_IT_IS = scheduling.after_iterations(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Solved:
    """A part that was planned, not noted yet."""

    part_id: UUID
    schedule: str


def is_large(first_on: dt.date, last_on: dt.date) -> bool:
    """Whether so many crews on so many days are planned in parts."""
    days = (last_on - first_on).days + 1
    return Crew.objects.filter(is_active=True).count() * days > LARGE_CREW_DAYS


@transaction.atomic
def begin(
    *, first_on: dt.date, last_on: dt.date, by: Person, now: datetime, seed: int = 1,
    most_crew_days: int = MOST_CREW_DAYS,
) -> Plan:  # fmt: skip
    """Let a plan be made in parts; it is a draft when the last turn is over.

    Raises
    ------
    InvalidError
        If the days are past, in the wrong order, or too many.
    """
    log.require(by, "plan.make")
    plans.check_days(first_on, last_on, now)
    week = snapshots.week(first_on, last_on)
    plan = Plan.objects.create(
        created_at=now,
        changed_at=now,
        version=plans.next_version(),
        first_on=first_on,
        last_on=last_on,
        status=PlanStatus.IN_THE_MAKING,
        made_by=by,
        seed=seed,
    )
    making = Making.objects.create(
        created_at=now, plan=plan, problem=records.to_text(week.problem), turns=TURNS
    )
    parts = territory.first_cut(week.problem, seed=seed, most_crew_days=most_crew_days)
    _hand_out(making, parts, now=now)
    log.write("plan.make", plan, by=by, now=now, version=plan.version, parts=len(parts))
    return plan


@transaction.atomic
def stop(*, plan_id: UUID, by: Person, now: datetime) -> Plan:
    """Take the best that there is so far as the draft.

    Raises
    ------
    ConflictError
        If the plan is not in the making.
    """
    log.require(by, "plan.make")
    plan = Plan.objects.get(pk=plan_id)
    locked = Making.objects.select_for_update(of=("self",)).select_related("plan")
    making = locked.filter(plan=plan).first()
    if making is None:
        raise ConflictError(f"plan {plan.version} is {plan.status}")
    _finish(making, _joined(making, making.parts.filter(turn=making.turn)), now=now)
    log.write("plan.stop", making.plan, by=by, now=now, version=making.plan.version)
    return making.plan


def compute(payload: Mapping[str, Any]) -> Solved:
    """Plan one part; the answer is noted by :func:`note`."""
    row = PlanPart.objects.filter(pk=payload["part"]).first()
    if row is None or row.schedule:
        return Solved(part_id=UUID(payload["part"]), schedule="")
    schedule = _solved(records.from_text(Part, row.part), STOP)
    return Solved(part_id=row.pk, schedule=records.to_text(schedule))


def note(*, found: Solved, now: datetime) -> str:
    """Keep what a part came to; after the last one of a turn go on with the next, or finish."""
    locked = Making.objects.select_for_update(of=("self",)).select_related("plan")
    making = locked.filter(parts=found.part_id).first()
    part = PlanPart.objects.filter(pk=found.part_id, schedule="").first()
    if making is None or part is None or not found.schedule:
        return "it was planned before, or the plan was stopped"
    PlanPart.objects.filter(pk=part.pk).update(schedule=found.schedule)
    rows = list(making.parts.filter(turn=making.turn))
    left = sum(not row.schedule for row in rows)
    if left:
        _show(making, rows, now=now)
        return f"part {part.number} is planned, {left} of turn {making.turn} are left"
    schedule = _joined(making, rows)
    if making.turn == making.turns:
        _finish(making, schedule, now=now)
        return f"plan {making.plan.version} is made"
    _next_turn(making, schedule, now=now)
    return f"turn {making.turn} begins"


def _solved(part: Part, rule: scheduling.Stop) -> Schedule:
    """A part's plan; the one to start from, if a better one would move what must stand still."""
    warm = part.warm if part.warm.placed else None
    found = scheduling.solve(part.problem, seed=part.seed, stop=rule, warm=warm)
    if territory.is_kept(part, found):
        return found
    return scheduling.solve(part.problem, seed=part.seed, stop=AS_IT_IS, warm=warm)


def _joined(making: Making, rows: Iterable[PlanPart]) -> Schedule:
    """The plan of a turn; of a part that nobody has planned yet, what it would start from."""
    return territory.joined(
        records.from_text(Problem, making.problem),
        [
            records.from_text(Schedule, row.schedule)
            if row.schedule
            else _solved(records.from_text(Part, row.part), AS_IT_IS)
            for row in rows
        ],
    )


def _next_turn(making: Making, schedule: Schedule, *, now: datetime) -> None:
    """Cut along another line into as many parts as at first, and hand them out."""
    parts_at_first = making.parts.filter(turn=0).count()
    problem = records.from_text(Problem, making.problem)
    making.turn += 1
    making.schedule = records.to_text(schedule)
    making.save()
    parts = territory.cut_again(
        problem,
        schedule,
        turn=making.turn,
        seed=making.plan.seed,
        most_crew_days=max(1, ceil(len(problem.crew_days) / parts_at_first)),
    )
    _hand_out(making, parts, now=now)


def _hand_out(making: Making, parts: Iterable[Part], *, now: datetime) -> None:
    rows = PlanPart.objects.bulk_create(
        PlanPart(
            created_at=now,
            making=making,
            turn=making.turn,
            number=number,
            part=records.to_text(part),
        )
        for number, part in enumerate(parts, start=1)
    )
    queueing.enqueue(
        OutboxMessage(
            created_at=now,
            kind=PLAN_PART,
            channel=Channel.ERRAND,
            dedupe_key=f"{PLAN_PART}:{row.pk}",
            payload={"part": str(row.pk)},
            due_at=now,
            next_at=now,
        )
        for row in rows
    )
    _show(making, rows, now=now)


def _show(making: Making, rows: Iterable[PlanPart], *, now: datetime) -> None:
    """Say how far it has come."""
    done = [bool(row.schedule) for row in rows]
    making.plan.figures = {
        "turn": making.turn,
        "turns": making.turns,
        "parts_done": sum(done),
        "parts": len(done),
    }
    if making.schedule:
        cost = records.from_text(Schedule, making.schedule).cost
        making.plan.figures["cost_so_far"] = cost.total
    making.plan.changed_at = now
    making.plan.save()


def _finish(making: Making, schedule: Schedule, *, now: datetime) -> None:
    """The plan is a draft, as the rows are now, and the parts are no more."""
    plan = making.plan
    week = snapshots.week(plan.first_on, plan.last_on)
    plan.status, plan.changed_at = PlanStatus.DRAFT, now
    plans.fill(plan, week, _as_of_now(week.problem, schedule), now=now)
    making.delete()


def _as_of_now(problem: Problem, schedule: Schedule) -> Schedule:
    """The plan as the rows are now: what no longer holds in it is placed anew or left out."""
    if not scheduling.verify(problem, schedule):
        return schedule
    return scheduling.solve(problem, seed=0, stop=AS_IT_IS, warm=schedule)
