"""How the invented crews spend a visit: what they report, and what comes of it."""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from functools import partial
from math import sin
from random import Random
from typing import Protocol
from uuid import UUID

from crewjobs.actions import forms, items, remakes, reports, signoffs, stone
from crewjobs.actions.errors import RefusedError
from crewjobs.domain import progress
from crewjobs.domain.facts import ReportKind, Stage, VisitKind
from crewjobs.domain.questions import Form
from crewjobs.management import demo_forms
from crewjobs.management.demo_orders import Ordered
from crewjobs.models import Job, Person, PlannedVisit, RemakeReason, Role, SigningWay

FILLED_AT = 0.05
"""As a share of the visit, when its form is filled in."""
REACHED, COLD = 0.7, 0.15
"""Shares of the customers who answer before a visit, and of them whose rooms are cold."""

LEFT_OUT = frozenset(
    {
        ReportKind.ON_THE_WAY,
        ReportKind.WALK_THROUGH_DONE,
        ReportKind.SEAM_POURED,
        ReportKind.SINK_SET,
        ReportKind.SILICONE_DONE,
        ReportKind.CLEANED,
        ReportKind.REVIEWED,
    }
)
"""What a brief account leaves out: no stage depends on it."""

Told = tuple[float, ReportKind, str]
"""When, as a share of the visit; what; about which piece or seam."""


class Clock(Protocol):
    """Where things are put that happen later."""

    def at(self, then: dt.datetime, happening: Callable[[dt.datetime], object]) -> None:
        """Let something happen at its hour."""


class Attendance:
    """One visit as it went: a little early or late, faster or slower than planned."""

    def __init__(
        self, planned: PlannedVisit, ordered: Ordered, office: Person, rng: Random
    ) -> None:
        self.visit = planned.visit
        self.job_id = planned.visit.job_id
        self.ordered = ordered
        self.office = office
        self.rng = rng
        self.told = Random(int(planned.starts_at.timestamp()))  # noqa: S311 (no secret)
        self.is_template = planned.visit.kind == VisitKind.TEMPLATE
        role = Role.TEMPLATER if self.is_template else Role.CREW_LEAD
        self.lead = Person.objects.get(crew=planned.crew, role=role)
        self.begins = planned.starts_at + dt.timedelta(minutes=rng.randint(-6, 14))
        self.lasts = (planned.ends_at - planned.starts_at) * rng.uniform(0.8, 1.15)
        self.ended = self.begins + self.lasts + dt.timedelta(minutes=20)

    def put_on(self, timeline: Clock, *, is_brief: bool) -> None:
        """Put the reports on the timeline, and what follows when the crew has left."""
        ended = self.ended
        for share, kind, about in self._reports():
            if not (is_brief and kind in LEFT_OUT):
                timeline.at(self.begins + share * self.lasts, partial(self._report, kind, about))
        if self.is_template or self._is_in_vain or not is_brief:
            timeline.at(self.begins + FILLED_AT * self.lasts, self._fill_in)
        if self.is_template:
            timeline.at(ended, self._measured)
        elif self.ordered.story == "broken":
            timeline.at(ended, self._remake)
        elif self.ordered.story == "open item":
            timeline.at(ended, self._open_item)
        elif self.ordered.story != "not ready for us":
            is_at_once = not is_brief and self.rng.random() < 0.6
            signs_at = ended if is_at_once else _friday_after(ended)
            timeline.at(signs_at, partial(self._sign, is_at_once))

    @property
    def _is_in_vain(self) -> bool:
        """The site is not ready."""
        return self.ordered.story == "not ready for us" and not self.is_template

    def ask_readiness(self, then: dt.datetime) -> None:
        """The office writes down what the customer says of the site; not everybody is reached."""
        if not self.is_template and self.told.random() < REACHED:
            is_cold = self.told.random() < COLD
            self._keep(Form.READINESS, self.office, then, demo_forms.COLD if is_cold else {})

    def _fill_in(self, then: dt.datetime) -> None:
        """The form of the visit, before anything is unloaded or cut."""
        form = Form.TEMPLATE_VISIT if self.is_template else Form.WALK_THROUGH
        self._keep(form, self.lead, then, demo_forms.NO_GO if self._is_in_vain else {})

    def _keep(
        self, form: Form, by: Person, then: dt.datetime, found: Mapping[str, forms.Given]
    ) -> None:
        known = demo_forms.of_work(
            self.ordered.kitchen.work, is_templated=not self.ordered.order.work.pieces
        )
        entry = demo_forms.entry(form, known, then, self.told, found=found)
        forms.fill(visit_id=self.visit.pk, entry=entry, by=by, now=then)

    def _reports(self) -> Iterator[Told]:
        yield -0.15, ReportKind.ON_THE_WAY, ""
        yield 0.0, ReportKind.ARRIVED, ""
        if self._is_in_vain:
            yield 0.1, ReportKind.NO_GO, ""
            yield 0.15, ReportKind.LEFT, ""
            return
        if not self.is_template:
            yield from self._install()
        yield 1.0, ReportKind.LEFT, ""

    def _install(self) -> Iterator[Told]:
        work = self.ordered.kitchen.work
        names = [piece.name for piece in work.pieces]
        is_broken = self.ordered.story == "broken"
        yield 0.06, ReportKind.WALK_THROUGH_DONE, ""
        for number, name in enumerate(names[:-1] if is_broken else names):
            yield 0.2 + 0.35 * number / len(names), ReportKind.PIECE_SET, name
        if is_broken:
            yield 0.6, ReportKind.PROBLEM, names[-1]
            return
        for seam in work.seams:
            yield 0.6, ReportKind.SEAM_POURED, seam.name
        for name in progress.sinks(work):
            yield 0.7, ReportKind.SINK_SET, name
        yield 0.85, ReportKind.SILICONE_DONE, ""
        yield 0.92, ReportKind.CLEANED, ""
        yield 0.97, ReportKind.REVIEWED, ""

    def _report(self, kind: ReportKind, about: str, then: dt.datetime) -> None:
        reports.add(
            visit_id=self.visit.pk,
            by=self.lead,
            now=then,
            client_id=UUID(int=self.rng.getrandbits(128), version=4),
            kind=kind,
            happened_at=then,
            about=about,
            note="cracked at the sink corner" if kind is ReportKind.PROBLEM else "",
        )

    def _measured(self, then: dt.datetime) -> None:
        """The sizes come in from the template."""
        kitchen = self.ordered.kitchen
        stone.replace(
            job_id=self.job_id,
            work=kitchen.work,
            finishes=kitchen.finishes,
            by=self.lead,
            now=then,
        )

    def _remake(self, then: dt.datetime) -> None:
        piece = self._job().pieces.order_by("position").last()
        if piece:
            ready_on = (then + dt.timedelta(days=9)).date()
            remakes.order(
                piece_id=piece.pk,
                by=self.office,
                now=then,
                reason=RemakeReason.BROKEN,
                ready_on=ready_on,
                note="cracked while it was set",
            )

    def _open_item(self, then: dt.datetime) -> None:
        items.open(job_id=self.job_id, what="polish the seam at the sink", by=self.lead, now=then)

    def _sign(self, is_drawn: bool, then: dt.datetime) -> None:
        """The customer signs, unless a rule says why it is too early."""
        if not Job.objects.filter(pk=self.job_id, stage=Stage.INSTALLED).exists():
            return
        drawn: list[list[float]] = [[8.0 * n, 40 + 18 * sin(n), 16.0 * n] for n in range(30)]
        with suppress(RefusedError):
            signoffs.sign(
                job_id=self.job_id,
                by=self.lead if is_drawn else self.office,
                now=then,
                signer_name=self.ordered.order.customer.name,
                way=SigningWay.DRAWN if is_drawn else SigningWay.TYPED,
                strokes=[drawn] if is_drawn else [],
                accepts_open_items=True,
            )

    def _job(self) -> Job:
        return Job.objects.get(pk=self.job_id)


def _friday_after(then: dt.datetime) -> dt.datetime:
    """When the office writes down what was signed on paper."""
    return then + dt.timedelta(days=(4 - then.weekday()) % 7, minutes=30)
