import datetime as dt
from dataclasses import replace

import pytest

from crewjobs.domain import questions
from crewjobs.domain.facts import Stage, VisitKind
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import Answer, Form
from crewjobs.domain.rules import bad_answers
from tests import make


def answer(code: str, said: str = "", hour: float = 0, **fields) -> Answer:
    at = make.START + dt.timedelta(hours=hour)
    return Answer(**({"form": Form.WALK_THROUGH, "code": code, "said": said, "answered_at": at}
                     | fields))  # fmt: skip


def found(*answers: Answer, stage: Stage = Stage.BOOKED, **record):
    told = make.record(answers=answers, stage=stage, **record)
    return [(each.severity, each.message) for each in bad_answers.check(make.job(record=told))]


WRONG = make.job(
    record=make.record(answers=(answer("path_clear", "no"),), inspected=frozenset({"A"}))
)


def test_a_no_to_what_must_be_is_a_stop_with_its_note() -> None:
    assert found(answer("cabinets_fixed", "no", note="the corner unit is loose")) == [
        (
            Severity.STOP,
            "walk-through: All cabinets stand in their places and are fixed: no "
            "(the corner unit is loose)",
        )
    ]
    assert found(answer("cabinets_fixed", "yes"), answer("gas_off", "not applicable")) == []


def test_a_lighter_matter_is_a_warning() -> None:
    ((severity, _),) = found(answer("floor", "no"))
    assert severity is Severity.WARN


@pytest.mark.parametrize("order", [1, -1])
def test_the_newest_answer_counts_whichever_form_and_order_it_came_in(order: int) -> None:
    told = [
        answer("cabinets_fixed", "no", hour=1),
        answer("cabinets_fixed", "yes", hour=2, form=Form.READINESS),
    ]
    assert found(*told[::order]) == []
    again = answer("cabinets_fixed", "no", hour=3)
    assert len(found(*[*told, again][::order])) == 1


def test_a_bad_answer_is_told_once_and_of_the_form_that_it_stands_on() -> None:
    told = answer("power", "no", form=Form.READINESS)
    assert found(told) == [(Severity.WARN, "readiness: There is power for the tools: no")]


def test_a_bad_answer_about_a_piece_names_it() -> None:
    told = answer("sound", "no", form=Form.INSPECTION, about="A", note="a chip at the left end")
    (finding,) = bad_answers.check(make.job(record=make.record(answers=(told,))))
    assert (finding.about, finding.severity) == ("A", Severity.STOP)
    assert finding.message.startswith("inspection of piece A: There is no chip")


def test_an_installed_job_is_past_its_answers() -> None:
    assert found(answer("cabinets_fixed", "no"), stage=Stage.INSTALLED) == []


INSTALL = frozenset({VisitKind.INSTALL})


@pytest.mark.parametrize(
    ("stage", "visits", "expected"),
    [
        (Stage.BOOKED, INSTALL, []),
        (Stage.READY, INSTALL, [(Severity.NOTE, "readiness")]),
        (Stage.PLANNED, INSTALL, [(Severity.WARN, "readiness")]),
        (Stage.ON_SITE, INSTALL, [(Severity.WARN, "walk-through")]),
        (Stage.INSTALLED, INSTALL, []),
        (Stage.BOOKED, {VisitKind.TEMPLATE}, []),
        (Stage.TEMPLATED, {VisitKind.TEMPLATE}, [(Severity.WARN, "template visit")]),
        (Stage.TEMPLATED, frozenset(), []),
    ],
)
def test_what_is_left_open_is_said_once_it_is_due(stage, visits, expected) -> None:
    told = found(stage=stage, visits=frozenset(visits))
    assert [(severity, message.partition(":")[0]) for severity, message in told] == expected


def test_an_answered_form_is_not_asked_for_again() -> None:
    job = make.job(record=make.record(stage=Stage.PLANNED, visits=INSTALL))
    asked = [each for each in questions.USUAL[Form.READINESS] if each.is_required]
    told = tuple(answer(each.code, "yes", form=Form.READINESS) for each in asked)
    assert list(bad_answers.check(job))
    whole = replace(job.record, answers=told)
    assert list(bad_answers.check(replace(job, record=whole))) == []


def test_pieces_that_passed_without_the_form_are_noted() -> None:
    assert found(inspected=frozenset({"B"})) == [
        (Severity.NOTE, "inspected without every question of the form: B")
    ]
