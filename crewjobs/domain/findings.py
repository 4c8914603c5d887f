"""What a check says: a finding, never an exception and never a permission."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs, heaviest first."""

    STOP = "stop"
    """The action refuses."""
    WARN = "warn"
    """Somebody must have seen it."""
    NOTE = "note"
    """Good to know."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One judgement, with its number and its limit in the message and its source beside it."""

    code: str
    severity: Severity
    message: str
    about: str = ""
    """The piece, seam or element that it speaks of; empty for the whole job."""
    source: str = ""
    value: float | None = None
    """What was found, where it is a number."""
    limit: float | None = None
    """What it is held against."""
    unit: str = ""
    """Of both."""
