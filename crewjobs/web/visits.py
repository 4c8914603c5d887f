"""One visit, as the crew needs it before and on site, with a small form for status reports."""

import datetime as dt
from collections.abc import Iterable
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from crewjobs import snapshots
from crewjobs.actions import hours, reports, withdrawals
from crewjobs.domain import curing, facts, rules
from crewjobs.domain.facts import ReportKind, VisitKind
from crewjobs.domain.findings import Finding
from crewjobs.domain.kit import kit
from crewjobs.models import Job, Piece, Role, Visit
from crewjobs.permissions import visible_visits
from crewjobs.web import forms as filled
from crewjobs.web import kits, work_chart
from crewjobs.web.pages import Asked, page, refusals
from crewjobs.web.pieces import piece_rows
from crewjobs.web.wording import NOTHING

MEASURING = frozenset(
    {ReportKind.ON_THE_WAY, ReportKind.ARRIVED, ReportKind.NO_GO, ReportKind.LEFT,
     ReportKind.PROBLEM}
)  # fmt: skip
"""What there is to report of a visit that sets no stone."""


class ReportForm(forms.Form):
    """What the crew says. The id is made with the form, so that sending it twice is once."""

    client_id = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(label="What happened")
    about = forms.ChoiceField(label="Which piece or seam", required=False)
    clock = forms.TimeField(
        label="At what time",
        required=False,
        help_text="left empty: now",
        widget=forms.TimeInput({"type": "time"}),
    )
    note = forms.CharField(label="Note", required=False, max_length=400)


@require_safe
@page
def show(asked: Asked, visit_id: UUID) -> HttpResponseBase:
    visit, job = seen(asked, visit_id)
    return _visit(asked, visit, job)


@require_POST
@page
def report(asked: Asked, visit_id: UUID) -> HttpResponseBase:
    visit, job = seen(asked, visit_id)
    form = _form(visit, job, asked.request.POST)
    if not form.is_valid():
        return _visit(asked, visit, job, form=form, status=422)
    said = form.cleaned_data
    if visit.reports.filter(client_id=said["client_id"], kind=said["kind"]).exists():
        return redirect("visit", visit_id)
    found = refusals(
        lambda: reports.add(
            visit_id=visit_id,
            by=asked.by,
            now=asked.now,
            client_id=said["client_id"],
            kind=ReportKind(said["kind"]),
            happened_at=_happened_at(said["clock"], job, asked.now),
            about=said["about"],
            note=said["note"],
        )
    )
    if found:
        return _visit(asked, visit, job, form=form, found=found, status=409)
    asked.say(f"Reported: {said['kind']}.")
    return redirect("visit", visit_id)


@require_POST
@page
def withdraw(asked: Asked, visit_id: UUID, report_id: UUID) -> HttpResponseBase:
    visit, job = seen(asked, visit_id)
    get_object_or_404(visit.reports, pk=report_id)
    reason = asked.request.POST.get("reason", "")
    found = refusals(
        lambda: withdrawals.withdraw(report_id=report_id, reason=reason, by=asked.by, now=asked.now)
    )
    if found:
        return _visit(asked, visit, job, found=found, status=422)
    asked.say("The report is withdrawn. It stays to be read; nothing follows from it any more.")
    return redirect("visit", visit_id)


def _happened_at(clock: dt.time | None, job: Job, now: dt.datetime) -> dt.datetime:
    """The last time at which the site's clock showed that; now, where nobody said when."""
    if clock is None:
        return now
    zone = ZoneInfo(job.site.time_zone)
    at = dt.datetime.combine(now.astimezone(zone).date(), clock, zone)
    return at if at <= now + reports.AHEAD else at - dt.timedelta(1)


def seen(asked: Asked, visit_id: UUID) -> tuple[Visit, Job]:
    """The visit with its job's rows, if this person may see it."""
    visit = visible_visits(asked.by).filter(pk=visit_id).first()
    if visit is None:
        raise Http404
    job = snapshots.whole_jobs().prefetch_related(*_MORE).get(pk=visit.job_id)
    return next(each for each in job.visits.all() if each.pk == visit_id), job


_MORE = ("visits__windows", "visits__skills", "visits__reports__person", "site__contacts",
         "site__hours")  # fmt: skip


def _pieces(visit: Visit, job: Job) -> list[Piece]:
    """What is to be loaded: the visit's own pieces, else every piece; to measure, none."""
    if visit.kind == VisitKind.TEMPLATE:
        return []
    own = {piece.pk for piece in visit.pieces.all()}
    return [piece for piece in job.pieces.all() if not own or piece.pk in own]


def cautions(job: facts.Job) -> list[Finding]:
    """What the rules advise, without what only the next stage asks for."""
    following = job.record.stage.following
    asked_for = rules.guard(job, following) if following else ()
    return [finding for finding in rules.advise(job) if finding not in asked_for]


def _form(visit: Visit, job: Job, data: object = None) -> ReportForm:
    form = ReportForm(data, initial={"client_id": uuid4()})  # type: ignore[arg-type]
    measures = visit.kind == VisitKind.TEMPLATE
    kinds = [
        k for k in ReportKind if k is not ReportKind.PHOTO and (not measures or k in MEASURING)
    ]
    names = [piece.name for piece in _pieces(visit, job)]
    seams = [] if measures else [seam.name for seam in job.seams.all()]
    _choose(form.fields["kind"], [(kind, kind) for kind in kinds])
    _choose(
        form.fields["about"],
        [("", NOTHING), *((n, f"piece {n}") for n in names), *((n, f"seam {n}") for n in seams)],
    )
    return form


def _withdrawable(asked: Asked, visit: Visit) -> set[UUID]:
    """The reports that this person may withdraw: their own, for the office every one."""
    if not asked.may("report.withdraw"):
        return set()
    is_office = asked.by.role == Role.DISPATCHER
    return {
        each.pk
        for each in visit.reports.all()
        if each.withdrawn_at is None and (is_office or each.person_id == asked.by.pk)
    }


def _choose(field: forms.Field, choices: list[tuple[str, str]]) -> None:
    if isinstance(field, forms.ChoiceField):
        field.choices = choices


def _visit(
    asked: Asked,
    visit: Visit,
    job: Job,
    *,
    form: ReportForm | None = None,
    found: Iterable[Finding] = (),
    status: int = 200,
) -> HttpResponseBase:
    """The visit on the clock of its site."""
    rows = piece_rows(asked, job, _pieces(visit, job))
    plan = hours.working_plan(visit, job, asked.shop)
    lines = kit(snapshots.outing(visit, job, asked.shop))
    loaded = kits.kit_rows(lines, asked.shop)
    place, known = visit.placement, snapshots.job_facts(job, asked.shop, visit)
    context = {
        "visit": visit,
        "job": job,
        "place": place,
        "ends": snapshots.ends(place, asked.shop.planning_share) if place else None,
        "pieces": rows,
        "load_kg": sum(row.mass_kg for row in rows),
        "thickness_mm": sum(row.row.thickness_mm for row in rows),
        "findings": cautions(known),
        "forms_told": list(filled.told_of_visit(visit, job, known)),
        "no_go_id": uuid4(),
        "cured": None if visit.kind == VisitKind.TEMPLATE else snapshots.cured(job, asked.shop),
        "curing_caution": curing.CAUTION,
        "kit": loaded,
        "kit_rules": kits.rules(loaded),
        "kit_cautions": kits.cautions(lines),
        "plan": plan,
        "chart": work_chart.draw(plan.people, plan.tasks),
        "form": form or _form(visit, job),
        "found": found,
        "may_withdraw": _withdrawable(asked, visit),
        "may_report": asked.may("visit.report") and visit.cancelled_at is None,
        "open_holds": [hold for hold in job.holds.all() if hold.released_at is None],
    }
    with timezone.override(job.site.time_zone):
        return asked.page("visit.html", context, status=status)
