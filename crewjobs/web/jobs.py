"""The list of jobs, and one job as its work order reads, with the forms that move it on."""

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from uuid import UUID

from django import forms
from django.db.models import Prefetch, Q, QuerySet
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_POST, require_safe

from crewjobs import snapshots
from crewjobs.actions import items, jobs, links, stages
from crewjobs.domain import lifting, pieces, rules
from crewjobs.domain.facts import HoldReason, Stage
from crewjobs.domain.findings import Finding
from crewjobs.domain.stages import DERIVED
from crewjobs.models import Hold, Job, Piece, Placement, Purpose, StatusReport, Visit
from crewjobs.permissions import visible_jobs, visible_visits
from crewjobs.web import drawings
from crewjobs.web.pages import Asked, page, refusals
from crewjobs.web.wording import extent

PAGE = 50
LOG_LINES = 60
SIGN_OFF_DAYS = 14
DUE = {"": "any day", "late": "overdue", "week": "within 7 days", "none": "no day named"}


class Search(forms.Form):
    """What the list is narrowed to."""

    q = forms.CharField(label="search", required=False, max_length=80)
    stage = forms.ChoiceField(
        label="stage",
        required=False,
        choices=[("", "every stage"), *((stage, stage) for stage in Stage)],
    )
    due = forms.ChoiceField(label="due", required=False, choices=list(DUE.items()))
    held = forms.BooleanField(label="on hold only", required=False)
    all = forms.BooleanField(label="ended ones too", required=False)


class HoldForm(forms.Form):
    """Why a job is to wait."""

    reason = forms.ChoiceField(choices=[(reason, reason) for reason in HoldReason])
    note = forms.CharField(required=False, max_length=400)


class CancelForm(forms.Form):
    """Why a job is not to be."""

    reason = forms.CharField(max_length=200)


class ItemForm(forms.Form):
    """What is left to do."""

    what = forms.CharField(max_length=items.LONGEST)


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceRow:
    """A piece with what is computed of it."""

    row: Piece
    drawing: drawings.PieceDrawing
    area_m2: float
    mass_kg: float
    hands: int

    @property
    def inspection(self) -> str:
        """What the newest inspection said."""
        newest = max(self.row.inspections.all(), key=lambda i: i.created_at, default=None)
        return "not yet" if newest is None else "passed" if newest.passed else "failed"


# The list


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    form = Search(asked.request.GET)
    found = visible_jobs(asked.by)
    if form.is_valid():
        found = _narrowed(found, form.cleaned_data, asked.today)
    rows = list(_with_their_next(_after(found, asked.request.GET.get("after", "")))[: PAGE + 1])
    asked_for = asked.request.GET.copy()
    if len(rows) > PAGE:
        asked_for["after"] = f"{rows[PAGE - 1].created_at.isoformat()}_{rows[PAGE - 1].pk}"
    context = {
        "form": form,
        "jobs": rows[:PAGE],
        "more": asked_for.urlencode() if len(rows) > PAGE else "",
        "is_first": "after" not in asked.request.GET,
    }
    return asked.page("jobs.html", context)


def _narrowed(found: QuerySet[Job], wanted: dict[str, object], today: dt.date) -> QuerySet[Job]:
    if not wanted["all"] and not wanted["stage"]:
        found = found.filter(cancelled_at__isnull=True).exclude(stage=Stage.SIGNED_OFF)
    if text := str(wanted["q"]).strip():
        names = ("number", "title", "customer__name", "site__street", "site__town")
        found = found.filter(_any_contains(names, text))
    if wanted["stage"]:
        found = found.filter(stage=wanted["stage"])
    if wanted["held"]:
        held = Hold.objects.filter(released_at__isnull=True)
        found = found.filter(pk__in=held.values("job"))
    match wanted["due"]:
        case "late":
            return found.filter(due_on__lt=today)
        case "week":
            return found.filter(due_on__range=(today, today + dt.timedelta(7)))
        case "none":
            return found.filter(due_on__isnull=True)
    return found


def _any_contains(names: Iterable[str], text: str) -> Q:
    found = Q()
    for name in names:
        found |= Q(**{f"{name}__icontains": text})
    return found


def _after(found: QuerySet[Job], mark: str) -> QuerySet[Job]:
    """The jobs behind the last one of the page before, the newest first."""
    at_text, _, pk_text = mark.partition("_")
    try:
        at, pk = parse_datetime(at_text), UUID(pk_text)
    except ValueError:
        return found
    if at is None or at.tzinfo is None:
        return found
    return found.filter(Q(created_at__lt=at) | Q(created_at=at, pk__gt=pk))


def _with_their_next(found: QuerySet[Job]) -> QuerySet[Job]:
    places = Placement.objects.filter(
        withdrawn_at__isnull=True, visit__finished_at__isnull=True
    ).select_related("crew")
    return (
        found.select_related("customer", "site")
        .prefetch_related(
            Prefetch("holds", Hold.objects.filter(released_at__isnull=True), to_attr="open_holds"),
            Prefetch("visits", Visit.objects.filter(cancelled_at__isnull=True)),
            Prefetch("visits__placements", places, to_attr="next_places"),
        )
        .order_by("-created_at", "pk")
    )


# One job


@require_safe
@page
def show(asked: Asked, job_id: UUID) -> HttpResponseBase:
    return _job(asked, job_id)


@require_POST
@page
def advance(asked: Asked, job_id: UUID) -> HttpResponseBase:
    entering = asked.request.POST.get("entering", "")
    if entering not in set(Stage):
        return _job(asked, job_id, status=422)
    act = partial(stages.advance, entering=Stage(entering))
    return _acted(asked, job_id, act, f"The job is {entering}.")


@require_POST
@page
def hold(asked: Asked, job_id: UUID) -> HttpResponseBase:
    form = HoldForm(asked.request.POST)
    if not form.is_valid():
        return _job(asked, job_id, forms={"hold_form": form}, status=422)
    reason = HoldReason(form.cleaned_data["reason"])
    act = partial(jobs.hold, reason=reason, note=form.cleaned_data["note"])
    return _acted(asked, job_id, act, f"The job is on hold: {reason}.")


@require_POST
@page
def release(asked: Asked, job_id: UUID) -> HttpResponseBase:
    reason = asked.request.POST.get("reason", "")
    if reason not in set(HoldReason):
        return _job(asked, job_id, status=422)
    act = partial(jobs.release, reason=HoldReason(reason))
    return _acted(asked, job_id, act, f"No longer on hold: {reason}.")


@require_POST
@page
def cancel(asked: Asked, job_id: UUID) -> HttpResponseBase:
    form = CancelForm(asked.request.POST)
    if not form.is_valid():
        return _job(asked, job_id, forms={"cancel_form": form}, status=422)
    act = partial(jobs.cancel, reason=form.cleaned_data["reason"])
    return _acted(asked, job_id, act, "The job is cancelled, and every visit of it.")


@require_POST
@page
def add_item(asked: Asked, job_id: UUID) -> HttpResponseBase:
    form = ItemForm(asked.request.POST)
    if not form.is_valid():
        return _job(asked, job_id, forms={"item_form": form}, status=422)
    act = partial(items.open, what=form.cleaned_data["what"])
    return _acted(asked, job_id, act, "The open item is noted.")


@require_POST
@page
def close_item(asked: Asked, job_id: UUID, item_id: UUID) -> HttpResponseBase:
    _seen(asked, job_id)
    found = refusals(lambda: items.close(item_id=item_id, by=asked.by, now=asked.now))
    if found:
        return _job(asked, job_id, found=found, status=409)
    asked.say("The item is closed.")
    return redirect("job", job_id)


@require_POST
@page
def make_sign_off_link(asked: Asked, job_id: UUID) -> HttpResponseBase:
    job = _seen(asked, job_id)
    _, token = links.make(
        purpose=Purpose.SIGN_OFF,
        job=job,
        by=asked.by,
        now=asked.now,
        expires_at=asked.now + dt.timedelta(SIGN_OFF_DAYS),
    )
    address = asked.request.build_absolute_uri(reverse("sign-off", args=[token]))
    return _job(asked, job_id, forms={"sign_off_address": address})


def _acted(asked: Asked, job_id: UUID, act: Callable[..., object], said: str) -> HttpResponseBase:
    """Do it and show the job again: changed, or with everything that speaks against it."""
    _seen(asked, job_id)
    found = refusals(partial(act, job_id=job_id, by=asked.by, now=asked.now))
    if found:
        return _job(asked, job_id, found=found, status=409)
    asked.say(said)
    return redirect("job", job_id)


def _seen(asked: Asked, job_id: UUID) -> Job:
    job = visible_jobs(asked.by).filter(pk=job_id).first()
    if job is None:
        raise Http404
    return job


def _job(
    asked: Asked,
    job_id: UUID,
    *,
    found: Iterable[Finding] = (),
    forms: dict[str, object] | None = None,
    status: int = 200,
) -> HttpResponseBase:
    _seen(asked, job_id)
    row = snapshots.whole_jobs().prefetch_related(*_MORE).get(pk=job_id)
    facts = snapshots.job_facts(row, asked.shop)
    following = facts.record.stage.following
    context = {
        "job": row,
        "stages": list(Stage),
        "stage": facts.record.stage,
        "following": following,
        "is_act": following is not None and following not in DERIVED,
        "is_going": row.cancelled_at is None and following is not None,
        "findings": rules.advise(facts),
        "found": found,
        "pieces": piece_rows(asked, row, row.pieces.all()),
        "walk_mm": facts.work.walk_mm,
        "open_holds": [hold for hold in row.holds.all() if hold.released_at is None],
        "reports": _reports(row),
        "may_see": set(visible_visits(asked.by).filter(job=row).values_list("pk", flat=True)),
        "hold_form": HoldForm(),
        "cancel_form": CancelForm(),
        "item_form": ItemForm(),
        **_for_the_office(asked, row),
        **(forms or {}),
    }
    return asked.page("job.html", context, status=status)


_MORE = ("visits__windows", "visits__skills", "visits__reports__person", "site__contacts",
         "site__hours")  # fmt: skip


def piece_rows(asked: Asked, job: Job, rows: Iterable[Piece]) -> list[PieceRow]:
    """Pieces of a job, drawn to one scale, with their mass and the hands that they ask for."""
    facts = {fact.name: fact for fact in snapshots.work(job).pieces}
    found = [(row, facts[row.name]) for row in rows]
    scale = drawings.units_per_mm([fact for _, fact in found])
    return [
        PieceRow(
            row=row,
            drawing=drawings.piece(fact, scale, lambda value_mm: extent(value_mm, asked.shop)),
            area_m2=pieces.area_m2(fact),
            mass_kg=pieces.mass_kg(fact),
            hands=lifting.carriers(fact, carrier_kg=asked.shop.carrier_kg),
        )
        for row, fact in found
    ]


def _reports(row: Job) -> list[StatusReport]:
    """All that came from the site, in the order of its own times."""
    found = [report for visit in row.visits.all() for report in visit.reports.all()]
    return sorted(found, key=lambda report: report.happened_at)


def _for_the_office(asked: Asked, row: Job) -> dict[str, object]:
    """Messages and log, as far as this person may read them."""
    found: dict[str, object] = {}
    if asked.may("outbox.read"):
        found["messages_of_job"] = row.messages.order_by("-due_at", "pk")[:LOG_LINES]
    if asked.may("audit.read"):
        found["log"] = row.audit_entries.select_related("by")[:LOG_LINES]
    return found
