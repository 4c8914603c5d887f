"""The rest of a running day, planned again: a draft that starts from now.

What has started or is over stays; what no longer holds finds another place. It is published like
any plan, but soon: a day that runs leaves a draft behind.
"""

import datetime as dt
from collections.abc import Collection
from dataclasses import asdict, replace
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log, plans
from crewjobs.actions.errors import InvalidError
from crewjobs.domain.scheduling.replan import Replanned, replan
from crewjobs.domain.scheduling.running import held_in
from crewjobs.models import Crew, Person, Plan
from crewjobs.snapshots.running import Event, RunningWeek, new_visits, running_week

USUAL_DAYS = 5
"""How many days after today may take what today cannot."""


def from_now(
    *,
    by: Person,
    now: dt.datetime,
    event: Event | None = None,
    wanted: Collection[UUID] | None = None,
    most_moved: int | None = None,
    seed: int = 1,
) -> Plan:
    """Draft the rest of today and some days after it, with as few moves as can be.

    Visits that are new since the last published plan are put in, or only those that are `wanted`.
    Where more than `most_moved` would move, calmer plans are looked for too; the figures have all.

    Raises
    ------
    InvalidError
        If a crew is not known.
    RefusedError
        If the verifier finds a rule broken: then nothing is stored.
    """
    log.require(by, "plan.make")
    event = event or Event()
    _check_crews({*event.gone, *event.without_truck})
    today = snapshots.on_clock(now, snapshots.week_zone())[0]
    last_on = today + dt.timedelta(USUAL_DAYS)
    found = running_week(last_on, event, now=now)
    names = new_visits(found) if wanted is None else [str(pk) for pk in wanted]
    again = replan(
        found.week.problem, found.plan, found.running, wanted=names, seed=seed,
        most_moved=most_moved,
    )  # fmt: skip
    plans.verified(replace(found.week, problem=again.problem), again.schedule)
    with transaction.atomic():
        plan = Plan.objects.create(
            created_at=now, changed_at=now, version=plans.next_version(), first_on=today,
            last_on=last_on, made_by=by, seed=seed,
        )  # fmt: skip
        _fill(plan, found, again, event, now)
        log.write("plan.make", plan, by=by, now=now, version=plan.version, moves=len(again.moves))
    return plan


def _check_crews(asked: Collection[UUID]) -> None:
    known = set(Crew.objects.filter(pk__in=asked).values_list("pk", flat=True))
    if unknown := [pk for pk in asked if pk not in known]:
        raise InvalidError({"/crews": f"there is no crew {unknown[0]}"})


def _fill(plan: Plan, found: RunningWeek, again: Replanned, event: Event, now: dt.datetime) -> None:
    """Write what is left of the day; what is held stays as it is published."""
    held = held_in(again.problem)
    schedule = replace(
        again.schedule,
        placed=tuple(stop for stop in again.schedule.placed if stop.visit not in held),
        unplaced=tuple(left for left in again.schedule.unplaced if left.visit not in held),
    )
    plans.fill(plan, found.week, schedule, now=now)
    plan.figures |= {
        "from_at": now.isoformat(),
        "gone": {str(crew): at.isoformat() for crew, at in event.gone.items()},
        "without_truck": [str(crew) for crew in event.without_truck],
        "moves": len(again.moves),
        "choices": [asdict(choice) for choice in again.choices],
    }
    plan.save()
