"""What the planner says, in words: with names for its ids, and days as people write them."""

import datetime as dt
import re
from collections.abc import Mapping
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
    "too_few_hands": "too few hands: {needs}, has {has}",
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
    fields: Mapping[str, object] = change.fields
    whose = f"{names.get(at.crew, at.crew)} on {day_in_words(at.day)}"
    if change.to is not None:
        to = f"{names.get(change.to.crew, change.to.crew)} on {day_in_words(change.to.day)}"
        what = names.get(change.visit.partition("#")[0], change.visit)
        return f"moving {what}, of which nobody was told, to {to}"
    if change.code == "too_few_hands":
        more = _number(fields["hands"]) - at.hands
        return f"{more} more hand{'s' if more > 1 else ''} with {whose}"
    if change.code == "no_time":
        least = _number(fields["max_overtime_min"])
        return f"{least} minutes of overtime for {whose}, where {at.max_overtime_min} are allowed"
    if change.code == "no_window":
        return f"the customer agreeing to a start {_start_in_words(change)}"
    if change.code in _LOADS:
        return _LOADS[change.code].format(
            whose=whose, **{name: _number(value) for name, value in fields.items()}
        )
    return in_words(_OTHERS.get(change.code, "") or change.message, names)


_LOADS: Mapping[str, str] = {
    "over_payload": "a truck for {payload_kg} kg for {whose}",
    "payload_full": "a truck for {payload_kg} kg for {whose}",
    "piece_too_long": "an A-frame for {frame_length_mm} mm for {whose}",
    "frame_full": "an A-frame for {frame_thickness_mm} mm of stone for {whose}",
    "frame_day_full": "an A-frame for {frame_thickness_mm} mm of stone for {whose}",
}

_OTHERS: Mapping[str, str] = {"locked_elsewhere": "unlocking the visit"}


def _number(value: object) -> int:
    return ceil(value) if isinstance(value, int | float) else 0


def _start_in_words(change: Change) -> str:
    windows = change.fields["windows"]
    if not isinstance(windows, tuple):
        return ""
    last = windows[-1]
    return f"at {clock_in_words(last.earliest_min)} on {day_in_words(last.day)}"


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
