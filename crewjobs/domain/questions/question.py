"""What a question is, and what an answer to it says."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from crewjobs.domain.findings import Severity


class Form(StrEnum):
    """What somebody fills in, question by question."""

    READINESS = "readiness"
    """Some days before, by the customer or the builder."""
    TEMPLATE_VISIT = "template visit"
    INSPECTION = "inspection"
    """Of a finished piece, before it is loaded."""
    WALK_THROUGH = "walk-through"
    """On site, before anything is unloaded."""


class Kind(StrEnum):
    """How a question is answered."""

    YES_NO = "yes or no"
    """Or not applicable. Asked so that yes is good and no is bad."""
    MEASURE = "measure"
    CHOICE = "choice"
    TEXT = "text"


class Said(StrEnum):
    """The answers to a question of yes or no."""

    YES = "yes"
    NO = "no"
    NOT_APPLICABLE = "not applicable"


class Where(StrEnum):
    """Of which jobs or pieces a question is asked."""

    ALWAYS = "always"
    CUTOUT = "cutout made in the shop"
    SINK = "sink cutout made in the shop"
    COOKTOP = "cooktop cutout made in the shop"
    TAP_HOLE = "tap hole made in the shop"
    SEAM = "seam"
    SINK_OR_COOKTOP = "job with a sink or a cooktop"
    ANY_COOKTOP = "job with a cooktop"
    OTHERS_TEAR_OUT = "job without old tops to take out"
    CONTROL = "job with a control dimension"


class Expected(StrEnum):
    """What a measure is held against."""

    LENGTH = "length of the piece"
    DEPTH = "depth of the piece"
    THICKNESS = "thickness of the piece"
    SINK_WIDTH = "width of the sink cutout"
    SINK_DEPTH = "depth of the sink cutout"
    COOKTOP_WIDTH = "width of the cooktop cutout"
    COOKTOP_DEPTH = "depth of the cooktop cutout"
    LEVEL = "level of the cabinets over their run"
    CONTROL = "control dimension of the template visit"


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """One question of a form."""

    code: str
    words: str
    kind: Kind = Kind.YES_NO
    severity: Severity = Severity.WARN
    """What a bad answer means."""
    is_required: bool = True
    choices: tuple[str, ...] = ()
    bad: tuple[str, ...] = ()
    """Choices that are bad answers."""
    expects: Expected | None = None
    minus_mm: float | None = None
    """How far a measure may lie below what is expected."""
    plus_mm: float | None = None
    least_mm: float | None = None
    """The limits of a measure that nothing else gives."""
    most_mm: float | None = None
    asks_photo: bool = False
    asks_note: bool = False
    """A bad answer is explained in words."""
    where: Where = Where.ALWAYS
    source: str = "common practice"


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What was answered to one question; nothing is changed, of each question the newest counts."""

    form: Form
    code: str
    answered_at: datetime
    said: str = ""
    """Yes, no, not applicable, one of the choices, or a text."""
    measured_mm: float | None = None
    note: str = ""
    about: str = ""
    """The piece that it speaks of; empty where it speaks of the site."""


Questions = Mapping[Form, tuple[Question, ...]]
