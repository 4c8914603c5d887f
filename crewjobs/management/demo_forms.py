"""What the invented crews and customers answer to the forms of a visit and of a piece."""

import datetime as dt
from collections.abc import Iterator, Mapping
from random import Random
from uuid import UUID

from crewjobs.actions.forms import Entry, Given
from crewjobs.domain import answers
from crewjobs.domain.facts import Job, Record, Work
from crewjobs.domain.questions import Answer, Form, Kind, Question, Said

FOUND = {
    "control_where": "from the left wall to the right edge of the window, at the top",
    "walls": "the wall behind the sink leans out a little at its left end",
}
"""The answers that are words."""
NO_GO = {
    "cabinets_fixed": Given(said=Said.NO, note="the sink cabinet is still in its box"),
    "appliances": Given(said=Said.NO, note="the sink comes next week"),
}
"""What a site that is not ready lacks."""
COLD = {"rooms_warm": Given(said=Said.NO, note="the heating is repaired the day before")}
SHARES = (0.35, 0.65)
"""Where a good measure lies between its limits."""


def of_work(work: Work, *, is_templated: bool) -> Job:
    """What is known of a job: its stone, and a control dimension where a template was taken."""
    control = Answer(
        form=Form.TEMPLATE_VISIT,
        code="control",
        answered_at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC),
        measured_mm=_control_mm(work),
    )
    return Job(work=work, record=Record(answers=(control,) if is_templated else ()))


def entry(
    form: Form,
    job: Job,
    then: dt.datetime,
    rng: Random,
    *,
    about: str = "",
    found: Mapping[str, Given] | None = None,
) -> Entry:
    """A form that is filled in whole, and well but for what was found."""
    said = dict(_good(form, job, about, rng))
    said |= {code: given for code, given in (found or {}).items() if code in said}
    client_id = UUID(int=rng.getrandbits(128), version=4)
    return Entry(form=form, client_id=client_id, filled_at=then, answers=said)


def _good(form: Form, job: Job, about: str, rng: Random) -> Iterator[tuple[str, Given]]:
    """A good answer to each question that has one."""
    for question in answers.asked(job, form, about):
        if given := _given(question, job, about, rng):
            yield question.code, given


def _given(question: Question, job: Job, about: str, rng: Random) -> Given | None:
    if question.kind is Kind.MEASURE:
        return Given(measured_mm=_measured_mm(question, job, about, rng))
    if question.kind is Kind.YES_NO:
        return Given(said=Said.YES)
    if question.kind is Kind.CHOICE:
        return Given(said=next(each for each in question.choices if each not in question.bad))
    return Given(said=FOUND[question.code]) if question.code in FOUND else None


def _measured_mm(question: Question, job: Job, about: str, rng: Random) -> float:
    """Somewhere between the limits; without any it is the control dimension."""
    least, most = answers.limits_mm(question, job, about)
    if most is None:
        return _control_mm(job.work)
    share = rng.uniform(*SHARES)
    return round((least or 0.0) * (1 - share) + most * share, 1)


def _control_mm(work: Work) -> float:
    """One dimension of the room, that does not change between two visits."""
    return round(max((piece.length_mm for piece in work.pieces), default=2400.0) + 6.0)
