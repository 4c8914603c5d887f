"""Inspections of finished pieces: each is kept, the newest counts.

Where the questions of the form were answered, the inspection follows from them: a piece passes
only without a bad answer that stops it. A person may fail it all the same.
"""

from collections.abc import Mapping
from datetime import datetime
from math import isfinite
from typing import TypedDict, Unpack
from uuid import UUID, uuid4

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import forms, log
from crewjobs.actions.errors import InvalidError
from crewjobs.actions.forms import Entry, Given, Subject
from crewjobs.domain import answers, facts
from crewjobs.domain.answers import Bad
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import Answer, Form
from crewjobs.models import FilledForm, Inspection, Person, Piece


class Told(TypedDict, total=False):
    """What an inspection says. Without `passed` its answers say it."""

    passed: bool | None
    note: str
    measurements: Mapping[str, float]
    """Name to millimetres."""
    answers: Mapping[str, Given]
    client_id: UUID
    filled_at: datetime


@transaction.atomic
def record(*, piece_id: UUID, by: Person, now: datetime, **told: Unpack[Told]) -> Inspection:
    """Say whether a piece passed, what was measured, and what was answered.

    Raises
    ------
    InvalidError
        If it failed without a note, if it cannot pass, or if something is not as it was asked.
    ConflictError
        If another form was kept under the same id.
    """
    piece = locked_piece(piece_id, by=by, verb="piece.inspect")
    measured = dict(told.get("measurements", {}))
    if wrong := sorted(name for name, size_mm in measured.items() if not isfinite(size_mm)):
        raise InvalidError({f"/measurements/{name}": "is not a number" for name in wrong})
    form, new = _kept(piece, told, by=by, now=now)
    if form and not new:
        return piece.inspections.get(created_at=form.created_at, by=form.by)
    job = snapshots.job(piece.job_id)
    passed, note = _judged(job, piece.name, told)
    made = Inspection.objects.create(
        created_at=now,
        piece=piece,
        by=by,
        passed=passed,
        note=note,
        measurements=measured,
        answers=form.answers if form else {},
    )
    log.write("piece.inspect", piece, by=by, now=now, job=piece.job, passed=passed, note=note)
    return made


def locked_piece(piece_id: UUID, *, by: Person, verb: str) -> Piece:
    """The piece, its job locked, if this person may do the verb to it.

    Raises
    ------
    Piece.DoesNotExist, Job.DoesNotExist
        If there is none, or they may not see its job.
    """
    piece = Piece.objects.get(pk=piece_id)
    piece.job = log.locked_job(piece.job_id, by=by, verb=verb)
    return piece


def _kept(
    piece: Piece, told: Told, *, by: Person, now: datetime
) -> tuple[FilledForm | None, tuple[Answer, ...]]:
    """The form that was answered, if one was; and its answers, if they are new."""
    if "answers" not in told:
        return None, ()
    entry = Entry(
        form=Form.INSPECTION,
        client_id=told.get("client_id") or uuid4(),
        filled_at=told.get("filled_at") or now,
        answers=told["answers"],
    )
    return forms.keep(Subject(job=piece.job, piece=piece), entry, by=by, now=now)


def _judged(job: facts.Job, name: str, told: Told) -> tuple[bool, str]:
    """Whether the piece passed, and the note that is kept."""
    found = answers.bad(job, Form.INSPECTION, name)
    stops = [each for each in found if each.severity is Severity.STOP]
    passed, note = told.get("passed"), told.get("note", "").strip()
    if passed is None:
        if "answers" not in told:
            raise InvalidError({"/passed": "say whether it passed, or answer the questions"})
        passed = not stops
    if passed:
        _refuse_pass(job, name, stops, is_by_form="answers" in told)
    elif not note and not stops:
        raise InvalidError({"/note": "say what is wrong with the piece"})
    return passed, note or ("" if passed else _words(stops)[:400])


def _refuse_pass(job: facts.Job, name: str, stops: list[Bad], *, is_by_form: bool) -> None:
    if stops:
        raise InvalidError({"/passed": f"the piece cannot pass: {_words(stops)}"})
    left = answers.missing(job, Form.INSPECTION, name) if is_by_form else ()
    if left:
        why = "must be answered before the piece passes"
        raise InvalidError({f"/answers/{each.code}": why for each in left})


def _words(stops: list[Bad]) -> str:
    return "; ".join(f"{each.question.words}: {each.reason}" for each in stops)
