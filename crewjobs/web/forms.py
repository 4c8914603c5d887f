"""The forms of a visit and of a piece: asked question by question, and what they came to."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from django import forms
from django.http import Http404, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crewjobs import snapshots
from crewjobs.actions import forms as actions
from crewjobs.actions import inspections
from crewjobs.actions.errors import InvalidError
from crewjobs.actions.forms import BELONGS, LONGEST, Entry, Given
from crewjobs.domain import answers, facts
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.questions import Answer, Form, Kind, Question, Said
from crewjobs.models import FilledForm, Job, Piece, Shop, Visit
from crewjobs.permissions import visible_jobs, visible_visits
from crewjobs.snapshots.jobs import answers as site_answers
from crewjobs.snapshots.jobs import job_at
from crewjobs.web.lengths import LengthField
from crewjobs.web.longest import longest
from crewjobs.web.pages import Asked, page, refusals
from crewjobs.web.wording import fine_extent, in_units

SLUGS = {form.replace(" ", "-"): form for form in Form if form is not Form.INSPECTION}
NOTE = "{}__note"


class AnswersForm(forms.Form):
    """The questions as fields. The id is made with the form, so that sending it twice is once."""

    client_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, asked: tuple[Question, ...], shop: Shop, data: QueryDict | None) -> None:
        super().__init__(data, initial={"client_id": uuid4()}, auto_id="q_%s")
        self.asked = asked
        for question in asked:
            self.fields[question.code] = _field(question, shop)
            self.fields[NOTE.format(question.code)] = forms.CharField(
                label=f"Note: {question.words}", required=False, max_length=LONGEST
            )

    def given(self) -> dict[str, Given]:
        """What was answered; a note alone answers nothing."""
        return {
            question.code: _given(
                question,
                self.cleaned_data[question.code],
                self.cleaned_data[NOTE.format(question.code)],
            )
            for question in self.asked
            if self.cleaned_data[question.code] not in ("", None)
        }

    def blame(self, problems: dict[str, str]) -> None:
        """Show what an action refuses beside the question that it is about."""
        for pointer, why in problems.items():
            _, _, code, *at = [*pointer.split("/"), "", ""]
            name = NOTE.format(code) if at[0] == "note" else code
            self.add_error(name if name in self.fields else None, why)


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One question on the page, with its fields and what was answered so far."""

    question: Question
    field: forms.BoundField
    note: forms.BoundField
    limit: str
    before: Answer | None

    @property
    def is_measure(self) -> bool:
        """A length is asked for."""
        return self.question.kind is Kind.MEASURE

    @property
    def is_choice(self) -> bool:
        """One of a few words is asked for."""
        return self.question.kind in (Kind.YES_NO, Kind.CHOICE)


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What a form came to so far."""

    form: Form
    about: str
    """A visit's kind, or the piece."""
    answered: int
    asked: int
    bad: tuple[answers.Bad, ...]
    """Those that stand on this form; a newer one on another form is told there."""

    @property
    def slug(self) -> str:
        """The form in an address."""
        return self.form.replace(" ", "-")

    @property
    def name(self) -> str:
        """The form as a heading."""
        return f"{self.form} form"

    @property
    def stops(self) -> tuple[answers.Bad, ...]:
        """The answers for which nobody goes on."""
        return tuple(each for each in self.bad if each.severity is Severity.STOP)

    @property
    def reasons(self) -> str:
        """Why nobody goes on, for a report."""
        said = (f"{s.question.words}: {s.answer.note or s.reason}" for s in self.stops)
        return "; ".join(said)[:400]


@require_http_methods(["GET", "HEAD", "POST"])
@page
def of_visit(asked: Asked, visit_id: UUID, form: str) -> HttpResponseBase:
    visit = visible_visits(asked.by).filter(pk=visit_id).select_related("job__site").first()
    if visit is None or form not in SLUGS or VisitKind(visit.kind) not in BELONGS[SLUGS[form]]:
        raise Http404
    asked.require("visit.report")
    kind, job = SLUGS[form], job_at(visit_id)

    def act(filled: AnswersForm) -> object:
        return actions.fill(
            visit_id=visit_id, entry=_entry(asked, kind, filled), by=asked.by, now=asked.now
        )

    context: dict[str, object] = {"visit": visit, "job": visit.job, "form_name": kind}
    if kind is Form.TEMPLATE_VISIT:
        context["longest"] = longest(job, asked.shop, asked.request.GET)
        context["may_route"] = asked.may("route.change")
    with timezone.override(visit.job.site.time_zone):
        found = _filled(asked, answers.asked(job, kind), act)
        if found is None:
            asked.say(in_units(_came_to(job_at(visit_id), kind), asked.shop))
            return redirect("visit", visit_id)
        return _asking(asked, job, "", context, found)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def inspection(asked: Asked, job_id: UUID, piece_id: UUID) -> HttpResponseBase:
    row = visible_jobs(asked.by).filter(pk=job_id).first()
    piece = row.pieces.filter(pk=piece_id).first() if row else None
    if row is None or piece is None:
        raise Http404
    asked.require("piece.inspect")
    job = snapshots.job(job_id)

    def act(filled: AnswersForm) -> object:
        return _inspect(asked, piece, filled)

    found = _filled(asked, answers.asked(job, Form.INSPECTION, piece.name), act)
    if found is None:
        newest = piece.inspections.order_by("-created_at")[0]
        said = "has passed its inspection" if newest.passed else f"has failed: {newest.note}"
        said = in_units(said, asked.shop)
        asked.say(f"Piece {piece.name} {said}.")
        return redirect("job", job_id)
    context: dict[str, object] = {"job": row, "piece": piece, "form_name": Form.INSPECTION}
    return _asking(asked, job, piece.name, context, found)


def told_of_job(asked: Asked, row: Job, job: facts.Job) -> dict[str, object]:
    """What the forms of a job came to: by visit, and by piece."""
    visits = [v for v in row.visits.all() if v.cancelled_at is None]
    return {
        "visits": [(v, list(told_of_visit(v, row, job))) for v in visits],
        "pieces": [(p, _told(job, Form.INSPECTION, p.name)) for p in row.pieces.all()],
        "may_fill": asked.may("visit.report") and row.cancelled_at is None,
        "may_inspect": asked.may("piece.inspect") and row.cancelled_at is None,
        "may_measure": asked.may("stone.change") and row.cancelled_at is None,
        "may_route": asked.may("route.change") and row.cancelled_at is None,
    }


def told_of_visit(visit: Visit, row: Job, job: facts.Job) -> Iterator[Told]:
    """What the forms of a visit came to."""
    record = replace(job.record, answers=site_answers(row, visit))
    for form in Form:
        if VisitKind(visit.kind) in BELONGS[form]:
            yield _told(replace(job, record=record), form)


def _told(job: facts.Job, form: Form, about: str = "") -> Told:
    asked, said = answers.asked(job, form, about), answers.answered(job, form, about)
    return Told(
        form=form,
        about=about,
        answered=sum(each.code in said for each in asked),
        asked=len(asked),
        bad=tuple(each for each in answers.bad(job, form, about) if each.answer.form is form),
    )


def _came_to(job: facts.Job, form: Form) -> str:
    stops = _told(job, form).stops
    if not stops:
        return f"The {form} form is kept. No answer that we know of speaks against going on."
    said = "; ".join(f"{each.question.words}: {each.reason}" for each in stops)
    return f"The {form} form is kept, and says no go: {said}."


def _filled(
    asked: Asked, questions: tuple[Question, ...], act: Callable[[AnswersForm], object]
) -> tuple[AnswersForm, tuple[Finding, ...]] | None:
    """The form as it is to be shown, with what speaks against it; None once it is kept."""
    if asked.request.method != "POST":
        return AnswersForm(questions, asked.shop, None), ()
    form = AnswersForm(questions, asked.shop, asked.request.POST)
    if not form.is_valid():
        return form, ()
    if FilledForm.objects.filter(client_id=form.cleaned_data["client_id"], by=asked.by).exists():
        return None
    found = refusals(lambda: _blaming(form, act))
    return (form, found) if found else None


def _blaming(form: AnswersForm, act: Callable[[AnswersForm], object]) -> None:
    """Act, and let what is wrong with a field be shown beside it."""
    try:
        act(form)
    except InvalidError as error:
        if all(pointer.startswith("/answers/") for pointer in error.problems):
            form.blame(error.problems)
        raise


def _inspect(asked: Asked, piece: Piece, filled: AnswersForm) -> object:
    is_failed = asked.request.POST.get("verdict") == "fail"
    entry = _entry(asked, Form.INSPECTION, filled)
    return inspections.record(
        piece_id=piece.pk,
        by=asked.by,
        now=asked.now,
        passed=False if is_failed else None,
        note=asked.request.POST.get("why", "")[:LONGEST],
        answers=entry.answers,
        client_id=entry.client_id,
        filled_at=entry.filled_at,
    )


def _entry(asked: Asked, form: Form, filled: AnswersForm) -> Entry:
    return Entry(
        form=form,
        client_id=filled.cleaned_data["client_id"],
        filled_at=asked.now,
        answers=filled.given(),
    )


def _asking(
    asked: Asked,
    job: facts.Job,
    about: str,
    context: dict[str, object],
    shown: tuple[AnswersForm, tuple[Finding, ...]],
) -> HttpResponseBase:
    form, found = shown
    known = answers.newest(job)
    lines = [
        Line(
            question=question,
            field=form[question.code],
            note=form[NOTE.format(question.code)],
            limit=_limit(question, job, about, asked.shop),
            before=known.get((question.code, about)),
        )
        for question in form.asked
    ]
    is_wrong = form.is_bound and not form.is_valid()
    status = 409 if found and not is_wrong else 422 if form.is_bound else 200
    more = {"form": form, "found": () if is_wrong else found, "lines": lines}
    return asked.page("asking.html", {**context, **more}, status=status)


def _limit(question: Question, job: facts.Job, about: str, shop: Shop) -> str:
    """What a measure has to be, in words."""
    if question.kind is not Kind.MEASURE:
        return ""
    least, most = answers.limits_mm(question, job, about)
    if least is None or most is None:
        bounds = (("at least", least), ("at most", most))
        return ", ".join(f"{how} {fine_extent(mm, shop)}" for how, mm in bounds if mm is not None)
    return f"from {fine_extent(least, shop)} to {fine_extent(most, shop)}"


def _field(question: Question, shop: Shop) -> forms.Field:
    label = question.words
    if question.kind is Kind.MEASURE:
        return LengthField(shop=shop, label=label)
    if question.kind is Kind.TEXT:
        return forms.CharField(label=label, required=False, max_length=LONGEST)
    may = list(Said) if question.kind is Kind.YES_NO else list(question.choices)
    choices = [(str(each), str(each)) for each in may]
    return forms.ChoiceField(label=label, required=False, choices=choices, widget=forms.RadioSelect)


def _given(question: Question, value: str | float, note: str) -> Given:
    if question.kind is Kind.MEASURE:
        return Given(measured_mm=float(value), note=note)
    return Given(said=str(value), note=note)
