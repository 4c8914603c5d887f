"""The shop's own questions: refused with the place that is wrong, else merged."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain import questions
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import USUAL, Form, Kind, Where

DOG = {"words": "The dog is locked away"}


@pytest.mark.parametrize("form", Form)
def test_the_usual_questions_are_whole(form: Form) -> None:
    codes = [question.code for question in USUAL[form]]
    assert len(codes) == len(set(codes)) > 5
    for question in USUAL[form]:
        assert question.words
        assert question.source
        assert (question.kind is Kind.CHOICE) == bool(question.choices)
        assert set(question.bad) <= set(question.choices)
        assert question.expects is None or question.kind is Kind.MEASURE
    assert any(q.severity is Severity.STOP for q in USUAL[form])


def test_one_code_means_one_question_on_every_form() -> None:
    seen: dict[str, questions.Question] = {}
    for question in (each for form in Form for each in USUAL[form]):
        assert seen.setdefault(question.code, question) == question


@pytest.mark.parametrize(
    ("raw", "pointer"),
    [
        ([], ""),
        ({"walkthrough": {}}, "/walkthrough"),
        ({"walk-through": []}, "/walk-through"),
        ({"walk-through": {f"q{n}": DOG for n in range(61)}}, "/walk-through"),
        ({"walk-through": {"Dog": DOG}}, "/walk-through/Dog"),
        ({"walk-through": {"a/b": DOG}}, "/walk-through/a~1b"),
        ({"walk-through": {"dog": None}}, "/walk-through/dog"),
        ({"walk-through": {"dog": 5}}, "/walk-through/dog"),
        ({"walk-through": {"dog": {}}}, "/walk-through/dog/words"),
        ({"walk-through": {"dog": {"words": " "}}}, "/walk-through/dog/words"),
        ({"walk-through": {"dog": DOG | {"severity": []}}}, "/walk-through/dog/severity"),
        ({"walk-through": {"dog": DOG | {"kind": "maybe"}}}, "/walk-through/dog/kind"),
        ({"walk-through": {"dog": DOG | {"kind": "choice"}}}, "/walk-through/dog/choices"),
        ({"walk-through": {"dog": DOG | {"choices": ["a"]}}}, "/walk-through/dog/choices"),
        (
            {"walk-through": {"dog": DOG | {"kind": "choice", "choices": ["a"], "bad": ["b"]}}},
            "/walk-through/dog/bad",
        ),
        ({"walk-through": {"dog": DOG | {"most_mm": 3}}}, "/walk-through/dog/kind"),
        (
            {"walk-through": {"dog": DOG | {"kind": "measure", "most_mm": True}}},
            "/walk-through/dog/most_mm",
        ),
        ({"walk-through": {"dog": DOG | {"is_required": "yes"}}}, "/walk-through/dog/is_required"),
        ({"walk-through": {"dog": DOG | {"colour": "red"}}}, "/walk-through/dog/colour"),
        ({"walk-through": {"power": {"kind": "text"}}}, "/walk-through/power/kind"),
    ],
)
def test_what_cannot_be_asked_is_refused_at_its_place(raw, pointer) -> None:
    assert list(questions.problems(raw)) == [pointer]


def test_more_questions_other_words_and_left_out() -> None:
    raw = {
        "walk-through": {
            "power": None,
            "water": {"words": "A hose reaches the kitchen", "severity": "stop"},
            "reveal": {"words": "Reveal", "kind": "measure", "most_mm": 6},
            "cat": {"words": "Cat", "kind": "choice", "choices": ["in", "out"], "bad": ["out"]},
        }
    }
    assert questions.problems(raw) == {}
    found = {each.code: each for each in questions.of_shop(raw)[Form.WALK_THROUGH]}
    assert "power" not in found
    assert (found["water"].words, found["water"].severity) == (
        "A hose reaches the kitchen",
        Severity.STOP,
    )
    assert (found["reveal"].kind, found["reveal"].most_mm) == (Kind.MEASURE, 6)
    assert (found["cat"].choices, found["cat"].bad) == (("in", "out"), ("out",))
    assert found["cat"].where is Where.ALWAYS
    assert questions.of_shop(raw)[Form.READINESS] == USUAL[Form.READINESS]


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=8) | st.sampled_from(
        ["words", "kind", "measure", "choice", "stop"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["walk-through", "inspection", "dog", "power", "words", "kind", "severity",
                         "choices", "bad", "most_mm", "is_required"]) | st.text(max_size=5),
        inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(JSON)
def test_whatever_is_sent_is_refused_or_can_be_asked(raw) -> None:
    if questions.problems(raw):
        return
    asked = questions.of_shop(raw)
    assert set(asked) == set(Form)
    assert json.loads(json.dumps(raw)) == raw
