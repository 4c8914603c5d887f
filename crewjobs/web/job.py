"""One job as its work order reads, with the forms that move it on."""

import datetime as dt
from collections.abc import Callable, Iterable
from functools import partial
from uuid import UUID

from django import forms
from django.conf import settings
from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from crewjobs import snapshots
from crewjobs.actions import inspections, items, jobs, links, stages
from crewjobs.domain import curing, rules
from crewjobs.domain.facts import HoldReason, Stage
from crewjobs.domain.findings import Finding
from crewjobs.domain.stages import DERIVED
from crewjobs.models import Job, Purpose, StatusReport
from crewjobs.permissions import visible_jobs, visible_visits
from crewjobs.web import carrying, pieces
from crewjobs.web import forms as filled
from crewjobs.web.pages import Asked, page, refusals

LOG_LINES = 60
SIGN_OFF_DAYS = 14


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
    get_object_or_404(_seen(asked, job_id).open_items, pk=item_id)
    found = refusals(lambda: items.close(item_id=item_id, by=asked.by, now=asked.now))
    if found:
        return _job(asked, job_id, found=found, status=409)
    asked.say("The item is closed.")
    return redirect("job", job_id)


@require_POST
@page
def inspect(asked: Asked, job_id: UUID, piece_id: UUID) -> HttpResponseBase:
    get_object_or_404(_seen(asked, job_id).pieces, pk=piece_id)
    passed = asked.request.POST.get("passed") == "yes"
    note = asked.request.POST.get("note", "")[:400]
    found = refusals(
        lambda: inspections.record(
            piece_id=piece_id, by=asked.by, now=asked.now, passed=passed, note=note
        )
    )
    if found:
        return _job(asked, job_id, found=found, status=409)
    asked.say(f"The piece has {'passed' if passed else 'failed'} its inspection.")
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
    address = settings.PUBLIC_URL + reverse("sign-off", args=[token])
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
        "told_forms": filled.told_of_job(asked, row, facts),
        "found": found,
        "pieces": pieces.piece_rows(asked, row, row.pieces.all()),
        "layout": pieces.layout(asked, facts.work),
        "walk_mm": facts.work.walk_mm,
        "route": [
            (element, carrying.more_sizes(fact, asked.shop))
            for element, fact in zip(row.route.all(), facts.work.route, strict=True)
        ],
        "way_in": carrying.way_in(facts, asked.shop),
        "open_items": [item for item in row.open_items.all() if item.closed_at is None],
        "open_holds": [hold for hold in row.holds.all() if hold.released_at is None],
        "reports": _reports(row),
        "cured": snapshots.cured(row, asked.shop),
        "curing_caution": curing.CAUTION,
        "may_draw": asked.may("stone.change")
        and row.cancelled_at is None
        and facts.record.stage.rank < Stage.INSTALLED.rank,
        "may_inspect": asked.may("piece.inspect") and row.cancelled_at is None,
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
