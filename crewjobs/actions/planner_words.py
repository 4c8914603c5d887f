"""What the planner says, in words: with names for its ids, and days as people write them."""

import datetime as dt
import re
from collections.abc import Callable, Mapping
from math import ceil

from crewjobs.domain.scheduling import CrewDay, Reason, Window
from crewjobs.domain.scheduling.remedies import Change
from crewjobs.models import Crew, Visit

NAMED = re.compile(r"(?:crew|visit) ([0-9a-f]{8}-[0-9a-f-]{27})(?:#\d+)?", re.IGNORECASE)
DAY = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b")


def names_of_all() -> dict[str, str]:
    """What people call the crews and visits that the planner knows by their ids."""
    crews = Crew.objects.values_list("pk", "name")
    visits = Visit.objects.open().values_list("pk", "kind", "job__number")
    return {str(pk): name for pk, name in crews} | {
        str(pk): f"the {kind} visit of job {number}" for pk, kind, number in visits
    }


def in_words(message: str, names: Mapping[str, str]) -> str:
    """The planner's message with names and weekdays in it, since people read it."""

    def name(match: re.Match[str]) -> str:
        return names.get(match[1], match[0])

    def day(match: re.Match[str]) -> str:
        return day_in_words(dt.date(*(int(part) for part in match.groups())))

    return DAY.sub(day, NAMED.sub(name, message))


def day_in_words(day: dt.date) -> str:
    """The day as it is said.

    Examples
    --------
    >>> day_in_words(dt.date(2026, 6, 2))
    'Tue 2 Jun'
    """
    return f"{day:%a} {day.day} {day:%b}"


def shown(reason: Reason, names: Mapping[str, str]) -> dict[str, object]:
    """A reason as it is stored and answered: code, sentence, and the number and its limit."""
    numbers = {"needs": reason.needs, "has": reason.has}
    return {"code": reason.code, "message": in_words(reason.message, names)} | {
        name: number for name, number in numbers.items() if number is not None
    }


SHORT: Mapping[str, str] = {
    "too_few_hands": "needs {needs} hands, has {has}",
    "skill_missing": "skill missing",
    "over_payload": "too heavy for the truck",
    "payload_full": "truck too full",
    "piece_too_long": "piece too long",
    "frame_full": "A-frame too small",
    "frame_day_full": "A-frame too full",
    "locked_elsewhere": "locked elsewhere",
    "not_ready": "stone not ready",
    "after_last_day": "too late",
    "before_horizon": "too soon to change",
    "frozen": "too soon to hand over",
    "no_window": "outside the window",
    "too_late_there": "there too late",
    "too_long_for_shift": "too long for the shift",
    "out_of_order": "out of order",
    "no_time": "day too full",
    "no_order": "windows of the day clash",
}
"""The first word on each rule, where there is no room for the sentence."""


def in_short(reason: Reason) -> str:
    """The reason in a few words."""
    return SHORT.get(reason.code, reason.code.replace("_", " ")).format(
        needs=reason.needs, has=reason.has
    )


def change_in_words(change: Change, at: CrewDay, names: Mapping[str, str]) -> str:
    """What would have to be done, said as a thing to do."""
    if change.to is not None:
        to = f"{names.get(change.to.crew, change.to.crew)} on {day_in_words(change.to.day)}"
        what = names.get(change.visit.partition("#")[0], change.visit)
        return f"moving {what}, of which nobody was told, to {to}"
    if say := _SAID.get(change.code):
        return f"{say(change.fields, at)} {names.get(at.crew, at.crew)} on {day_in_words(at.day)}"
    if say := _SAID_OF_THE_VISIT.get(change.code):
        return say(change.fields, at)
    return in_words(change.message, names)


Fields = Mapping[str, object]


def _hands(fields: Fields, at: CrewDay) -> str:
    more = _number(fields, "hands") - at.hands
    return f"{more} more hand{'s' if more > 1 else ''} with"


def _skills(fields: Fields, at: CrewDay) -> str:
    asked = fields.get("skills")
    missing = asked - at.skills if isinstance(asked, frozenset) else ()
    return f"somebody who can do {', '.join(sorted(missing))} with"


def _overtime(fields: Fields, at: CrewDay) -> str:
    least_min = _number(fields, "max_overtime_min")
    return f"{least_min} minutes of overtime, where {at.max_overtime_min} are allowed, for"


def _payload(fields: Fields, _at: CrewDay) -> str:
    return f"a truck for {_number(fields, 'payload_kg')} kg for"


def _length(fields: Fields, _at: CrewDay) -> str:
    return f"an A-frame for pieces of {_number(fields, 'frame_length_mm')} mm for"


def _thickness(fields: Fields, _at: CrewDay) -> str:
    return f"an A-frame for {_number(fields, 'frame_thickness_mm')} mm of stone for"


def _start(fields: Fields, at: CrewDay) -> str:
    windows = fields.get("windows")
    last = windows[-1] if isinstance(windows, tuple) else Window(day=at.day)
    clock = clock_in_words(last.earliest_min)
    return f"the customer agreeing to a start at {clock} on {day_in_words(last.day)}"


Say = Callable[[Fields, CrewDay], str]

_SAID: Mapping[str, Say] = {
    "too_few_hands": _hands,
    "skill_missing": _skills,
    "no_time": _overtime,
    "over_payload": _payload,
    "payload_full": _payload,
    "piece_too_long": _length,
    "frame_full": _thickness,
    "frame_day_full": _thickness,
}
"""What a crew's day would have to have; the crew and the day follow."""

_SAID_OF_THE_VISIT: Mapping[str, Say] = {
    "no_window": _start,
    "not_ready": lambda _, at: f"the stone ready on {day_in_words(at.day)}",
    "locked_elsewhere": lambda _, at: f"unlocking it, so that it may be on {day_in_words(at.day)}",
}


def _number(fields: Fields, name: str) -> int:
    value = fields.get(name)
    return ceil(value) if isinstance(value, int | float) else 0


def plain(value: object) -> object:
    """A field of a crew's day or of a visit as it is answered: numbers, texts, and lists of them.

    Examples
    --------
    >>> plain(frozenset({"seam", "install"}))
    ['install', 'seam']
    """
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple):
        return [plain(each) for each in value]
    if isinstance(value, Window):
        return {
            "day": value.day,
            "earliest": clock_in_words(value.earliest_min),
            "latest": clock_in_words(value.latest_min),
        }
    return value


def clock_in_words(minute: int) -> str:
    """The minute of a day as a clock shows it."""
    return f"{minute // 60}:{minute % 60:02}"
