"""Forms: filled in on site or in the shop, only ever added; of each question the newest counts.

A form may come late, or twice, from a phone that had no reception: it has its own time and an id
that was made where it was filled in.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from uuid import UUID

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log, reports
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain import answers, facts, questions
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.questions import Answer, Form, Kind, Question, Said
from crewjobs.models import FilledForm, Job, Person, Piece, Visit

LONGEST = 400
"""Letters of a text or a note."""
MOST_MM = 100_000.0

INSTALLING = frozenset({VisitKind.INSTALL, VisitKind.RETURN})
BELONGS = {
    Form.TEMPLATE_VISIT: frozenset({VisitKind.TEMPLATE}),
    Form.READINESS: INSTALLING,
    Form.WALK_THROUGH: INSTALLING,
    Form.INSPECTION: frozenset[VisitKind](),
}
"""Which visits a form is about; an inspection is about a piece."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Given:
    """What was answered to one question."""

    said: str = ""
    measured_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One form as it was filled in; questions that were left open are not in it."""

    form: Form
    client_id: UUID
    filled_at: datetime
    answers: Mapping[str, Given]


@dataclass(frozen=True, kw_only=True, slots=True)
class Subject:
    """What a form is about: a visit, or a piece."""

    job: Job
    visit: Visit | None = None
    piece: Piece | None = None


@transaction.atomic
def fill(*, visit_id: UUID, entry: Entry, by: Person, now: datetime) -> FilledForm:
    """Keep the answers to a form about a visit, once however often they are sent.

    Raises
    ------
    Visit.DoesNotExist
        If there is none, or it never was this person's.
    InvalidError
        If the form is not asked of such a visit, or an answer does not answer its question.
    ConflictError
        If another form was kept under the same id.
    """
    visit = reports.locked_visit(visit_id, by=by)
    if VisitKind(visit.kind) not in BELONGS[entry.form]:
        raise InvalidError({"/form": f"the {entry.form} form is not for a {visit.kind} visit"})
    row, _ = keep(Subject(job=visit.job, visit=visit), entry, by=by, now=now)
    return row


def keep(
    of: Subject, entry: Entry, *, by: Person, now: datetime
) -> tuple[FilledForm, tuple[Answer, ...]]:
    """Write a form down, and its answers as facts; none where it was there already.

    Raises
    ------
    InvalidError, ConflictError
        As :func:`fill`.
    """
    reports.check_time("/filled_at", entry.filled_at, now)
    if not entry.answers:
        raise InvalidError({"/answers": "answer a question at least"})
    content = {
        "form": entry.form,
        "job": of.job,
        "visit": of.visit,
        "piece": of.piece,
        "filled_at": entry.filled_at,
        "answers": {code: _stored(given) for code, given in entry.answers.items()},
    }
    if before := FilledForm.objects.filter(client_id=entry.client_id).first():
        return _same(before, content), ()
    told = tuple(_answers(entry, of.piece.name if of.piece else ""))
    _refuse(told, snapshots.job(of.job.pk))
    row = FilledForm.objects.create(created_at=now, client_id=entry.client_id, by=by, **content)
    thing = of.visit or of.piece or of.job
    codes = sorted(entry.answers)
    log.write("form.fill", thing, by=by, now=now, job=of.job, form=entry.form, answered=codes)
    return row, told


def _same(row: FilledForm, content: Mapping[str, object]) -> FilledForm:
    differ = sorted(name for name, value in content.items() if getattr(row, name) != value)
    if differ:
        raise ConflictError(f"form {row.client_id} is kept already, with other {differ[0]}")
    return row


def _stored(given: Given) -> dict[str, object]:
    """What was said, without what was not."""
    told = {"said": given.said, "measured_mm": given.measured_mm, "note": given.note.strip()}
    return {name: value for name, value in told.items() if value not in ("", None)}


def _answers(entry: Entry, about: str) -> Iterator[Answer]:
    for code, given in entry.answers.items():
        yield Answer(
            form=entry.form,
            code=code,
            answered_at=entry.filled_at,
            said=given.said,
            measured_mm=given.measured_mm,
            note=given.note.strip(),
            about=about,
        )


def _refuse(told: Iterable[Answer], job: facts.Job) -> None:
    """Refuse answers that answer nothing. A phone may ask as was asked before a change."""
    found: dict[str, str] = {}
    for answer in told:
        known = (*job.questions[answer.form], *questions.USUAL[answer.form])
        question = next((each for each in known if each.code == answer.code), None)
        at, why = _wrong(question, answer, job) if question else ("", "nobody asks that")
        if why:
            escaped = answer.code.replace("~", "~0").replace("/", "~1")
            found[f"/answers/{escaped}{at}"] = why
    if found:
        raise InvalidError(found)


def _wrong(question: Question, answer: Answer, job: facts.Job) -> tuple[str, str]:
    """Where and why an answer does not answer its question; nothing where it does."""
    if len(answer.note) > LONGEST:
        return "/note", f"{LONGEST} letters are the most"
    if question.kind is Kind.MEASURE:
        if answer.measured_mm is None or not isfinite(answer.measured_mm):
            return "/measured_mm", "is a length"
        if not 0 <= answer.measured_mm <= MOST_MM:
            return "/measured_mm", f"must be from 0 to {MOST_MM:.0f} mm"
    elif why := _not_said(question, answer):
        return "/said", why
    if question.asks_note and not answer.note and answers.fault(question, answer, job):
        return "/note", "say what is wrong"
    return "", ""


def _not_said(question: Question, answer: Answer) -> str:
    if answer.measured_mm is not None:
        return "is not answered by a measure"
    if question.kind is Kind.TEXT:
        is_text = bool(answer.said.strip()) and len(answer.said) <= LONGEST
        return "" if is_text else f"must be words, at most {LONGEST} letters"
    may = list(Said) if question.kind is Kind.YES_NO else list(question.choices)
    return "" if answer.said in may else f"must be one of: {', '.join(may)}"
