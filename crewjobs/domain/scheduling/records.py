"""Problems and plans as text, so that a part can be solved elsewhere and later.

What was written down is read back equal. A format that is not known is refused.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from types import NoneType, UnionType
from typing import Any, TypeVar, cast, get_args, get_origin, get_type_hints

from crewjobs.domain.scheduling import travel
from crewjobs.domain.scheduling.travel import Travel

Record = TypeVar("Record")

Held = Any
"""What JSON holds."""
Kind = Any
"""A type, as annotations write it."""

FORMAT = 1

KIND = "kind"
"""Names the class where a field may hold several: how drives are reckoned."""


def to_text(record: object) -> str:
    """A dataclass of the planner's as text.

    Examples
    --------
    >>> from crewjobs.domain.scheduling.problem import Slot
    >>> to_text(Slot(crew="A", day=date(2030, 1, 7)))
    '{"format": 1, "record": {"crew": "A", "day": "2030-01-07", "start_min": null}}'
    """
    return json.dumps({"format": FORMAT, "record": _plain(record)})


def from_text(kind: type[Record], text: str) -> Record:
    """The record that was written down.

    Raises
    ------
    ValueError
        If the text has another format.

    Examples
    --------
    >>> from crewjobs.domain.scheduling.problem import Slot
    >>> noon = Slot(crew="A", day=date(2030, 1, 7), start_min=720)
    >>> from_text(Slot, to_text(noon)) == noon
    True
    """
    held = json.loads(text)
    if held.get("format") != FORMAT:
        raise ValueError(f"the record is not of format {FORMAT}")
    found: Record = _read(kind, held["record"])
    return found


def _plain(value: Held) -> Held:
    if is_dataclass(value):
        held = {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
        return held | ({KIND: type(value).__name__} if _is_way(value) else {})
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(_plain(each) for each in value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if isinstance(value, date):
        return value.isoformat()
    return value.value if isinstance(value, Enum) else value


def _is_way(value: object) -> bool:
    return getattr(travel, type(value).__name__, None) is type(value) and hasattr(value, "minutes")


def _read(kind: Kind, held: Held) -> Held:
    if kind is Travel:
        return _read(getattr(travel, held[KIND]), held)
    origin: Kind = get_origin(kind)
    inner = get_args(kind)
    if origin is UnionType:
        (some,) = (each for each in inner if each is not NoneType)
        return None if held is None else _read(some, held)
    if origin is tuple:
        each = inner[:1] * len(held) if inner[-1] is ... else inner
        return tuple(_read(*both) for both in zip(each, held, strict=True))
    if origin is frozenset:
        return frozenset(_read(inner[0], each) for each in held)
    return _one(kind, held)


def _one(kind: Kind, held: Held) -> Held:
    """A value that holds no row of others, or a dataclass."""
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        read = {each.name: _read(hints[each.name], held[each.name]) for each in fields(kind)}
        return cast("Callable[..., Held]", kind)(**read)
    if isinstance(kind, type) and issubclass(kind, date):
        return kind.fromisoformat(held)
    return kind(held) if isinstance(kind, type) and issubclass(kind, Enum) else held
