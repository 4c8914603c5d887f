"""The questions of every form, as data: what is asked, and what a bad answer means.

One file a form; a shop has more of them, in its own words, or fewer. They know no job: which of
them are asked of one, and what its answers mean, is said by `answers`.
"""

from functools import lru_cache
from json import dumps, loads

from crewjobs.domain.questions import inspection, own, readiness, template_visit, walk_through
from crewjobs.domain.questions.question import (
    Answer,
    Expected,
    Form,
    Kind,
    Question,
    Questions,
    Said,
    Where,
)

__all__ = [
    "USUAL",
    "Answer",
    "Expected",
    "Form",
    "Kind",
    "Question",
    "Questions",
    "Said",
    "Where",
    "of_shop",
    "problems",
]

USUAL: Questions = {
    Form.READINESS: readiness.QUESTIONS,
    Form.TEMPLATE_VISIT: template_visit.QUESTIONS,
    Form.INSPECTION: inspection.QUESTIONS,
    Form.WALK_THROUGH: walk_through.QUESTIONS,
}
"""What is asked where a shop changed nothing."""


def problems(raw: object) -> dict[str, str]:
    """What is wrong with a shop's own questions, by JSON pointer; empty where nothing is.

    Examples
    --------
    >>> problems({"walk-through": {"dog": {"words": "The dog is locked away"}, "power": None}})
    {}
    >>> problems({"walk-through": {"gas": None}})
    {'/walk-through/gas': 'there is no such question to leave out'}
    """
    return dict(own.problems(raw, USUAL))


def of_shop(raw: own.Told) -> Questions:
    """The questions as they are asked in a shop with these changes.

    Examples
    --------
    >>> changed = of_shop({"readiness": {"power": None, "dog": {"words": "The dog is away"}}})
    >>> [question.code for question in changed[Form.READINESS]][-3:]
    ['parking', 'somebody', 'dog']
    """
    return _of(dumps(raw)) if raw else USUAL


@lru_cache(maxsize=8)
def _of(raw: str) -> Questions:
    return own.merged(loads(raw), USUAL)
