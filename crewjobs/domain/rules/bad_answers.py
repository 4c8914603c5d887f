"""Nobody sets out or goes on against a bad answer."""

from collections.abc import Iterator
from itertools import chain

from crewjobs.domain import answers
from crewjobs.domain.answers import Bad
from crewjobs.domain.facts import Job, Stage, VisitKind
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.questions import Form

SOURCE = "the shop's questions; each has its own source, shown where it is asked"
GUARDS: frozenset[Stage] = frozenset()
DUE = {
    Form.TEMPLATE_VISIT: (Stage.TEMPLATED, Stage.TEMPLATED),
    Form.READINESS: (Stage.READY, Stage.PLANNED),
    Form.WALK_THROUGH: (Stage.ON_SITE, Stage.ON_SITE),
}
"""From which stage a form that was left empty is noted, and from which it is warned of."""
SITE = (Form.TEMPLATE_VISIT, Form.READINESS, Form.WALK_THROUGH)
SHOWN = 3
"""Open questions that are named."""


def check(job: Job) -> Iterator[Finding]:
    """Yield each bad answer of a job that is not installed, and each form with open questions."""
    if job.record.stage.rank >= Stage.INSTALLED.rank:
        return
    names = [piece.name for piece in job.work.pieces]
    told = {each.question.code: each for form in SITE for each in answers.bad(job, form)}
    of_pieces = chain.from_iterable(answers.bad(job, Form.INSPECTION, name) for name in names)
    for each in (*told.values(), *of_pieces):
        yield _bad(each)
    yield from _open_forms(job)
    passed = [name for name in names if name in job.record.inspected]
    if bare := [name for name in passed if answers.missing(job, Form.INSPECTION, name)]:
        words = f"inspected without every question of the form: {', '.join(bare)}"
        yield _finding(Severity.NOTE, words)


def _open_forms(job: Job) -> Iterator[Finding]:
    """Forms of the site that are due."""
    for form, (noted, warned) in DUE.items():
        rank = job.record.stage.rank
        if rank < noted.rank or not _is_due(job, form):
            continue
        if left := answers.missing(job, form):
            severity = Severity.WARN if rank >= warned.rank else Severity.NOTE
            yield _finding(severity, f"{form}: {_open([each.words for each in left])}")


def _is_due(job: Job, form: Form) -> bool:
    if form is Form.TEMPLATE_VISIT:
        return VisitKind.TEMPLATE in job.record.visits
    is_there = job.record.stage.rank >= Stage.ON_SITE.rank
    return VisitKind.INSTALL in job.record.visits and is_there == (form is Form.WALK_THROUGH)


def _bad(bad: Bad) -> Finding:
    note = f" ({bad.answer.note})" if bad.answer.note else ""
    of = f" of piece {bad.answer.about}" if bad.answer.about else ""
    words = f"{bad.answer.form}{of}: {bad.question.words}: {bad.reason}{note}"
    return _finding(bad.severity, words, bad.answer.about)


def _open(words: list[str]) -> str:
    more = f", and {len(words) - SHOWN} more" if len(words) > SHOWN else ""
    counted = "1 question is" if len(words) == 1 else f"{len(words)} questions are"
    return f"{counted} not answered: {'; '.join(words[:SHOWN])}{more}"


def _finding(severity: Severity, message: str, about: str = "") -> Finding:
    return Finding(
        code="bad_answers", severity=severity, message=message, about=about, source=SOURCE
    )
