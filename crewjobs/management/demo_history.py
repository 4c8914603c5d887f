"""Five weeks of the invented shop, played through the actions, each at its own hour.

What happens is put on a timeline and happens in order, up to the hour that is handed in: the rows
are as consistent, and the log as full, as if people had done it.
"""

import datetime as dt
import heapq
from collections import defaultdict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import count
from random import Random
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import (
    crews,
    inspections,
    jobs,
    outbox,
    overrides,
    people,
    plans,
    shops,
    stages,
    trades,
)
from crewjobs.actions.errors import RefusedError
from crewjobs.domain import scheduling
from crewjobs.domain.facts import CutoutKind, HoldReason, Stage, Trade
from crewjobs.domain.questions import Form
from crewjobs.domain.scheduling import Stop
from crewjobs.management import demo_forms, demo_orders, demo_shop
from crewjobs.management.demo_orders import Ordered
from crewjobs.management.demo_visits import Attendance
from crewjobs.models import Crew, Job, Person, Plan

FIRST_DAY = -35
PLANNED_ON = (-28, -14)
"""Days on which a fortnight was planned, the last up to today; the coming one is planned now."""
FORTNIGHT = 14
ROUGH = scheduling.after_iterations(0)
"""What is past needs a plan, not a good one."""
STOP = scheduling.after_iterations(20, idle=8)
"""The demo starts soon rather than with the best plan; the next draft searches for longer."""
IN_FULL = dt.timedelta(days=3)
"""So far back the crews' reports are all there; before that, the ones that moved a job."""
NIGHT = dt.timedelta(hours=15)
ASKED = dt.timedelta(days=2)
"""So long before a visit its customer is asked whether the site is ready."""
MOST_MESSAGES = 1000
ANSWERS = defaultdict(
    lambda: "looked at on site; the lead knows and stops where it does not go",
    {"carry_in": "goes up the stairs on a board, with two people more than planned"},
)
"""What the office of the invented shop answers for, where a finding stops a visit."""


@transaction.atomic
def play(*, now: dt.datetime, rng: Random) -> Plan:
    """Found the shop, live through its five weeks, publish the coming fortnight."""
    history = History(now, rng)
    history.live()
    return history.plan(0, now, stop=STOP)


class Timeline:
    """What is still to happen, in the order of its hours."""

    def __init__(self) -> None:
        self._ahead: list[tuple[dt.datetime, int, Callable[[dt.datetime], object]]] = []
        self._turns = count()

    def at(self, then: dt.datetime, happening: Callable[[dt.datetime], object]) -> None:
        """Let something happen at its hour, if that hour comes."""
        heapq.heappush(self._ahead, (then, next(self._turns), happening))

    def run(self, until: dt.datetime) -> None:
        """Let everything happen up to an hour, and what follows from it."""
        while self._ahead and self._ahead[0][0] <= until:
            then, _, happening = heapq.heappop(self._ahead)
            happening(then)


class History:
    """The shop's five weeks."""

    def __init__(self, now: dt.datetime, rng: Random) -> None:
        self.now = now
        self.rng = rng
        self.told = Random(0)  # noqa: S311 (no secret)
        self.zone = ZoneInfo(demo_shop.ZONE)
        self.today = now.astimezone(self.zone).date()
        self.timeline = Timeline()
        self.office = found(self.today, self._moment(FIRST_DAY, 9 * 60))
        self.by_job: dict[UUID, Ordered] = {}

    def live(self) -> None:
        """Let everything happen up to now."""
        for ordered in demo_orders.orders(self.today, self.rng):
            then = self._moment(ordered.booked, ordered.booked_min)
            self.timeline.at(then, partial(self._book, ordered))
        for day in PLANNED_ON:
            self.timeline.at(self._moment(day, 15 * 60), partial(self.plan, day))
        for day in range(0, min(PLANNED_ON), -2):
            self.timeline.at(self._moment(day, 18 * 60), self._send)
        self.timeline.run(until=self.now)

    def plan(self, day: int, then: dt.datetime, *, stop: Stop = ROUGH) -> Plan:
        """Plan the fortnight from the next day on, publish it, and let the crews go."""
        first_on = self.today + dt.timedelta(day + 1)
        last_on = first_on + dt.timedelta(FORTNIGHT - 1)
        plan = plans.draft(first_on=first_on, last_on=last_on, by=self.office, now=then, stop=stop)
        placed = [change.visit for change in plans.compare(plan) if change.after]
        for each in overrides.stopped(placed, plan):
            if each.override is None:
                overrides.answer(
                    visit_id=each.visit.pk,
                    said=overrides.said(each.finding),
                    reason=ANSWERS[each.finding.code],
                    by=self.office,
                    now=then,
                )
        plans.publish(plan_id=plan.pk, by=self.office, now=then)
        for planned in plan.planned.select_related("visit__job", "crew"):
            job = planned.visit.job
            is_brief = planned.ends_at < self.now - IN_FULL
            went = Attendance(planned, self.by_job[job.pk], self.office, self.rng)
            went.put_on(self.timeline, is_brief=is_brief)
            if not is_brief:
                self._at(max(then, went.begins - ASKED), went.ask_readiness)
            if went.is_template:
                self.timeline.at(went.ended + NIGHT, partial(self._fabricate, job))
        self._send(then)
        return plan

    def _at(self, then: dt.datetime, happening: Callable[[dt.datetime], object]) -> None:
        """Let something happen at its hour, though it be the last one."""
        if then == self.now:
            happening(then)
        else:
            self.timeline.at(then, happening)

    def _moment(self, day: int, minute: int) -> dt.datetime:
        return snapshots.moment(self.today + dt.timedelta(day), minute, self.zone)

    def _send(self, then: dt.datetime) -> None:
        outbox.work(now=lambda: then, limit=MOST_MESSAGES)

    def _book(self, ordered: Ordered, then: dt.datetime) -> None:
        job = jobs.book(order=ordered.order, by=self.office, now=then)
        self.by_job[job.pk] = ordered
        if ordered.story == "cancelled":
            self.timeline.at(then + dt.timedelta(hours=20), partial(self._cancel, job))
            return
        if self.rng.random() < 0.25:
            self._leave_to_trades(job, ordered, then)
        is_held = isinstance(ordered.story, HoldReason)
        before = dt.timedelta(3 if is_held else self.rng.randint(1, 3))
        inspected_at = snapshots.moment(ordered.ready_on - before, 9 * 60, self.zone)
        if ordered.order.work.pieces:
            made_from = max(then + dt.timedelta(days=1), inspected_at - dt.timedelta(days=6))
            self.timeline.at(made_from, partial(self._fabricate, job))
        self.timeline.at(inspected_at, partial(self._inspect, job))

    def _cancel(self, job: Job, then: dt.datetime) -> None:
        jobs.cancel(job_id=job.pk, reason="the customer moves away", by=self.office, now=then)

    def _leave_to_trades(self, job: Job, ordered: Ordered, then: dt.datetime) -> None:
        holes = {hole.kind for piece in ordered.kitchen.work.pieces for hole in piece.cutouts}
        leave = partial(trades.leave, job_id=job.pk, by=self.office, now=then)
        if CutoutKind.UNDERMOUNT_SINK in holes:
            leave(trade=Trade.WATER, what="connect tap and drain")
        if CutoutKind.COOKTOP in holes:
            leave(trade=Trade.ELECTRICITY, what="connect the cooktop")

    def _fabricate(self, job: Job, then: dt.datetime) -> None:
        """Begin to cut: by the template, or by the sizes that came with the order."""
        if self._is(job, Stage.BOOKED):
            self._advance(job, Stage.TEMPLATED, then)
        self._advance(job, Stage.IN_FABRICATION, then)

    def _inspect(self, job: Job, then: dt.datetime) -> None:
        """Inspect what is cut; else come again the next day."""
        if not self._is(job, Stage.IN_FABRICATION):
            self.timeline.at(then + dt.timedelta(days=1), partial(self._inspect, job))
            return
        known = demo_forms.of_work(self.by_job[job.pk].kitchen.work, is_templated=False)
        for piece in job.pieces.all():
            form = demo_forms.entry(Form.INSPECTION, known, then, self.told, about=piece.name)
            inspections.record(
                piece_id=piece.pk,
                by=self.office,
                now=then,
                answers=form.answers,
                client_id=form.client_id,
                filled_at=then,
            )
        self._advance(job, Stage.READY, then)

    def _is(self, job: Job, stage: Stage) -> bool:
        return Job.objects.filter(pk=job.pk, stage=stage).exists()

    def _advance(self, job: Job, entering: Stage, then: dt.datetime) -> None:
        """Enter a stage; where a rule says why not, the job waits as it should."""
        with suppress(RefusedError):
            stages.advance(job_id=job.pk, entering=entering, by=self.office, now=then)


def found(today: dt.date, then: dt.datetime) -> Person:
    """Found the shop with everything that jobs need; the answer is its dispatcher."""
    first = replace(demo_shop.DISPATCHER.entry(), password=demo_shop.PASSWORD)
    office = shops.found(entry=demo_shop.SHOP, first=first, now=then)
    depots = {
        name: crews.add_depot(entry=entry, by=office, now=then)
        for name, entry in demo_shop.DEPOTS.items()
    }
    for entry in demo_shop.CREWS:
        depot = depots[entry.depot]
        truck = crews.add_truck(entry=entry.truck(depot), by=office, now=then)
        crews.add(
            name=entry.name, depot=depot, truck=truck, shifts=entry.shifts(), by=office, now=then
        )
    _hire(office, today, then)
    return office


def _hire(office: Person, today: dt.date, then: dt.datetime) -> None:
    """Everybody else. All have the same password: its hash is slow on purpose, and made once."""
    named = {crew.name: crew for crew in Crew.objects.all()}
    for staff in demo_shop.STAFF:
        hired = people.add(
            entry=staff.entry(),
            role=staff.role,
            crew=named.get(staff.crew),
            skills=staff.skills,
            by=office,
            now=then,
        )
        if staff.day_off:
            on = today + dt.timedelta(staff.day_off)
            crews.add_day_off(
                of=hired, first_on=on, last_on=on, reason="day off", by=office, now=then
            )
    Person.objects.update(password=office.password)
