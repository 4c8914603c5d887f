"""The shop's own questions: more of them, in other words, or left out.

They are kept by form and code. `None` leaves a question out; of a usual question some things may
be changed; any other code is a question of the shop's own.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from crewjobs.domain.findings import Severity
from crewjobs.domain.questions.question import Form, Kind, Question, Questions

Told = Mapping[str, Any]
"""A question, or a form's questions, as JSON holds them."""
Fields = dict[str, Any]
"""What a question is made of, by name."""

MOST_QUESTIONS = 60
"""Of one form. Common practice: nobody answers more."""
MOST_LETTERS = 200
MOST_CHOICES = 12
MOST_MM = 100_000.0
CODE = re.compile(r"[a-z][a-z0-9_]{0,39}")
SOURCE = "the shop's own question"

OF_ANY = frozenset({"words", "severity", "is_required", "asks_photo", "asks_note"})
OF_OWN = OF_ANY | {"kind", "choices", "bad", "least_mm", "most_mm"}


def problems(raw: object, usual: Questions) -> Iterator[tuple[str, str]]:
    """What is wrong with a shop's changes: a JSON pointer and why, for each."""
    if not isinstance(raw, Mapping):
        yield "", "name each form: {form: {code: question}}"
        return
    for form, changes in raw.items():
        if form not in set(Form):
            yield f"/{_escaped(form)}", f"there is no such form: {', '.join(Form)}"
        elif not isinstance(changes, Mapping):
            yield f"/{form}", "name each question: {code: question}"
        elif len(changes) > MOST_QUESTIONS:
            yield f"/{form}", f"{MOST_QUESTIONS} questions are the most"
        else:
            known = {question.code: question for question in usual[Form(form)]}
            for code, told in changes.items():
                where = f"/{form}/{_escaped(code)}"
                yield from ((where + at, why) for at, why in _wrong(code, told, known.get(code)))


def merged(raw: Told, usual: Questions) -> Questions:
    """The questions as they are asked in a shop whose changes were found to be in order."""
    return {form: tuple(_merged(raw.get(form, {}), usual[form])) for form in Form}


def _merged(changes: Told, usual: tuple[Question, ...]) -> Iterator[Question]:
    codes = {question.code for question in usual}
    for question in usual:
        if question.code not in changes:
            yield question
        elif changes[question.code] is not None:
            yield replace(question, **_fields(changes[question.code]))
    for code, told in changes.items():
        if code not in codes and told is not None:
            yield Question(code=code, source=SOURCE, **_fields(told))


def _fields(told: Told) -> Fields:
    reads = {"severity": Severity, "kind": Kind, "choices": tuple, "bad": tuple}
    return {name: reads[name](value) if name in reads else value for name, value in told.items()}


def _wrong(code: str, told: object, usual: Question | None) -> Iterator[tuple[str, str]]:
    if not CODE.fullmatch(code):
        yield "", "a code is a small letter, then small letters, digits and underscores, at most 40"
    if isinstance(told, Mapping):
        yield from _wrong_words(told, OF_ANY if usual else OF_OWN)
        if usual is None:
            yield from _wrong_new(told)
    elif told is not None:
        yield "", "is neither a question nor null, which leaves it out"
    elif usual is None:
        yield "", "there is no such question to leave out"


def _wrong_words(told: Told, may: frozenset[str]) -> Iterator[tuple[str, str]]:
    for name, value in told.items():
        if name not in may:
            reason = "cannot be changed: ask another question" if name in OF_OWN else "no such word"
            yield f"/{_escaped(name)}", reason
        elif why := _why_not(name, value):
            yield f"/{name}", why


def _wrong_new(told: Told) -> Iterator[tuple[str, str]]:
    """What a question that is the shop's own has to say, and what it cannot."""
    choices, bad = told.get("choices") or [], told.get("bad") or []
    if "words" not in told:
        yield "/words", "a question needs its words"
    if (told.get("kind") == Kind.CHOICE) != bool(choices):
        yield "/choices", "a choice has them, and nothing else"
    if not isinstance(choices, list) or not isinstance(bad, list):
        return
    if unknown := [each for each in bad if each not in choices]:
        yield "/bad", f"is none of the choices: {unknown[0]}"
    if told.get("kind") != Kind.MEASURE and {"least_mm", "most_mm"} & told.keys():
        yield "/kind", "only a measure has limits"


def _why_not(name: str, value: object) -> str:
    """Why a value cannot stand under this name; empty where it can."""
    if name == "words":
        return "" if _is_text(value) else f"must be words, at most {MOST_LETTERS} letters"
    if name in {"severity", "kind"}:
        known = list(Severity if name == "severity" else Kind)
        return "" if value in known else f"must be one of: {', '.join(known)}"
    if name in {"choices", "bad"}:
        is_list = isinstance(value, list) and len(value) <= MOST_CHOICES
        is_well = isinstance(value, list) and is_list and all(map(_is_text, value))
        return "" if is_well else f"must be a list of words, at most {MOST_CHOICES}"
    if name.endswith("_mm"):
        return "" if value is None or _is_length(value) else "must be a length in millimetres"
    return "" if isinstance(value, bool) else "must be true or false"


def _is_text(value: object) -> bool:
    is_words = isinstance(value, str) and bool(value.strip()) and value.isprintable()
    return is_words and len(str(value)) <= MOST_LETTERS


def _is_length(value: object) -> bool:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and abs(value) <= MOST_MM  # type: ignore[arg-type]


def _escaped(key: object) -> str:
    return str(key)[:60].replace("~", "~0").replace("/", "~1")
