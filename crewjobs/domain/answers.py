"""What the answers to the questions of a job mean: which are bad, and which are still missing.

Of each question the newest answer counts, whichever form it stands on. A measure is held against
what the job expects of it. It refuses to say that a site or a piece is in order: no answer is bad
that we know of.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from crewjobs.domain.facts import CutoutKind, Job, Piece
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import Answer, Expected, Form, Kind, Question, Said, Where

LEVEL_MOST_MM, LEVEL_EACH_MM = 3.175, 3048.0
"""1/8 in for each started 10 ft: Dimension Stone Design Manual, of a finished top."""
SINKS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK})
EVEN_MM = 0.05
"""A measure is not taken finer than that; common practice."""

CUTOUTS_OF = {
    Where.CUTOUT: SINKS | {CutoutKind.COOKTOP},
    Where.SINK: SINKS,
    Where.COOKTOP: frozenset({CutoutKind.COOKTOP}),
    Where.TAP_HOLE: frozenset({CutoutKind.TAP_HOLE}),
    Where.SINK_OR_COOKTOP: SINKS | {CutoutKind.COOKTOP},
    Where.ANY_COOKTOP: frozenset({CutoutKind.COOKTOP}),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Bad:
    """An answer that speaks against going on, and why."""

    question: Question
    answer: Answer
    reason: str

    @property
    def severity(self) -> Severity:
        """What it means."""
        return self.question.severity


def asked(job: Job, form: Form, about: str = "") -> tuple[Question, ...]:
    """The questions of a form that a job, or one of its pieces, is asked."""
    return tuple(each for each in job.questions[form] if _is_asked(each, job, about))


def newest(job: Job) -> dict[tuple[str, str], Answer]:
    """The answers that count, by question and piece."""
    found: dict[tuple[str, str], Answer] = {}
    for answer in sorted(job.record.answers, key=lambda each: each.answered_at):
        found[answer.code, answer.about] = answer
    return found


def bad(job: Job, form: Form, about: str = "") -> Iterator[Bad]:
    """The bad answers to a form's questions, in its order."""
    counted = newest(job)
    for question in asked(job, form, about):
        answer = counted.get((question.code, about))
        if answer and (reason := fault(question, answer, job)):
            yield Bad(question=question, answer=answer, reason=reason)


def missing(job: Job, form: Form, about: str = "") -> tuple[Question, ...]:
    """The questions of a form that must be answered, and are not."""
    said = answered(job, form, about)
    return tuple(
        question
        for question in asked(job, form, about)
        if question.is_required and question.code not in said
    )


def answered(job: Job, form: Form, about: str = "") -> set[str]:
    """The questions of a form that are answered: what was said before the cut is asked again."""
    return {
        code
        for (code, of), answer in newest(job).items()
        if of == about and (answer.form is form or answer.form is not Form.TEMPLATE_VISIT)
    }


def limits_mm(question: Question, job: Job, about: str = "") -> tuple[float | None, float | None]:
    """The least and the most that a measure may be; None where nothing limits it.

    Examples
    --------
    >>> from crewjobs.domain.facts import Work
    >>> top = Piece(name="A", outline_mm=((0, 0), (2500, 0), (2500, 648), (0, 648)),
    ...             thickness_mm=30)
    >>> job = Job(work=Work(pieces=(top,)))
    >>> limits_mm(asked(job, Form.INSPECTION, "A")[0], job, "A")
    (2496.825, 2503.175)
    """
    if question.expects is Expected.LEVEL:
        run = job.work.cabinet_run_mm
        return None, LEVEL_MOST_MM * max(1, ceil(run / LEVEL_EACH_MM - 1e-9))
    expected = _expected_mm(question, job, about)
    if expected is None:
        return question.least_mm, question.most_mm
    return expected - (question.minus_mm or 0.0), expected + (question.plus_mm or 0.0)


def _expected_mm(question: Question, job: Job, about: str = "") -> float | None:
    """What a measure should be; None where nothing is known of it."""
    if question.expects is Expected.CONTROL:
        control = newest(job).get(("control", ""))
        return control.measured_mm if control else None
    piece = _piece(job, about)
    return _of_piece(piece).get(question.expects) if piece and question.expects else None


def _of_piece(piece: Piece) -> dict[Expected, float]:
    found = {
        Expected.LENGTH: piece.length_mm,
        Expected.DEPTH: piece.depth_mm,
        Expected.THICKNESS: piece.thickness_mm,
    }
    for cutout in piece.cutouts:
        if cutout.kind in SINKS:
            found.setdefault(Expected.SINK_WIDTH, cutout.width_mm)
            found.setdefault(Expected.SINK_DEPTH, cutout.height_mm)
        elif cutout.kind is CutoutKind.COOKTOP:
            found.setdefault(Expected.COOKTOP_WIDTH, cutout.width_mm)
            found.setdefault(Expected.COOKTOP_DEPTH, cutout.height_mm)
    return found


def _piece(job: Job, name: str) -> Piece | None:
    return next((piece for piece in job.work.pieces if piece.name == name), None)


def _is_asked(question: Question, job: Job, about: str) -> bool:
    where, work = question.where, job.work
    if where is Where.ALWAYS:
        return True
    if where is Where.SEAM:
        return any(about in (seam.first, seam.second) for seam in work.seams)
    if where is Where.OTHERS_TEAR_OUT:
        return not work.tear_out_mm
    if where is Where.CONTROL:
        return _expected_mm(question, job) is not None
    pieces = [piece for piece in work.pieces if about in ("", piece.name)]
    return any(
        cutout.kind in CUTOUTS_OF[where] and (not about or not cutout.is_made_on_site)
        for piece in pieces
        for cutout in piece.cutouts
    )


def fault(question: Question, answer: Answer, job: Job) -> str:
    """Why an answer is a bad one; empty where it is not."""
    if question.kind is Kind.MEASURE:
        return _off(answer.measured_mm, *limits_mm(question, job, answer.about))
    is_no = question.kind is Kind.YES_NO and answer.said == Said.NO
    return answer.said if is_no or answer.said in question.bad else ""


def _off(measured_mm: float | None, least_mm: float | None, most_mm: float | None) -> str:
    if measured_mm is None:
        return ""
    if least_mm is not None and measured_mm < least_mm - EVEN_MM:
        return f"{measured_mm:.1f} mm, the least is {least_mm:.1f} mm"
    if most_mm is not None and measured_mm > most_mm + EVEN_MM:
        return f"{measured_mm:.1f} mm, the most is {most_mm:.1f} mm"
    return ""
