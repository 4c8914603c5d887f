"""The shop: founded once, with its first office user; its ways of counting changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import transaction

from crewjobs.actions import learning, log, people, trades
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain import hours, limits, questions, scheduling
from crewjobs.models import Person, Role, Shop, Skill, Units

FIRST_SKILLS = {"template": "Templating", "install": "Installing"}
"""What visits ask for unless they name something else."""

MAY_CHANGE = frozenset(
    {"name", "time_zone", "units", "currency", "carrier_kg", "circuity_factor", "speed_kmh",
     "drive_extra_min", "planning_share", "break_starts_at", "break_min", "standard_minutes",
     "traffic", "capacity_m2", "lead_days", "uneven_cost", "rule_set", "dust_rules", "limits",
     "questions", "reply_to"}
)  # fmt: skip

COUNTED = frozenset({"carrier_kg", "standard_minutes"})
"""What every estimate is counted with: the hours are learned anew."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ShopEntry:
    """What must be known of a shop before it can begin."""

    name: str
    time_zone: str
    units: Units = Units.IMPERIAL
    currency: str = "USD"
    reply_to: str = ""


@transaction.atomic
def found(*, entry: ShopEntry, first: people.PersonEntry, now: datetime) -> Person:
    """Begin: the shop, its first skills, and the first dispatcher.

    Raises
    ------
    ConflictError
        If there is a shop already.
    InvalidError
        If the time zone or the password will not do.
    """
    if Shop.objects.exists():
        raise ConflictError("there is a shop already")
    shop = Shop.objects.create(
        created_at=now,
        name=entry.name,
        time_zone=_zone(entry.time_zone),
        units=entry.units,
        currency=entry.currency,
        reply_to=entry.reply_to,
    )
    Skill.objects.bulk_create(
        Skill(created_at=now, code=code, name=name) for code, name in FIRST_SKILLS.items()
    )
    person = people.write(first, role=Role.DISPATCHER, now=now)
    log.write("shop.found", shop, by=person, now=now, name=shop.name)
    return person


@transaction.atomic
def change(*, changes: Mapping[str, object], by: Person, now: datetime) -> Shop:
    """Change how the shop counts.

    Raises
    ------
    InvalidError
        If a column is not to be edited, or a standard minute or a limit is not known or cannot be.
    """
    log.require(by, "shop.change")
    shop = Shop.objects.select_for_update().get()
    if unknown := sorted(set(changes) - MAY_CHANGE):
        raise InvalidError({f"/{name}": "cannot be changed here" for name in unknown})
    if "time_zone" in changes:
        _zone(str(changes["time_zone"]))
    if "limits" in changes:
        changes = {**changes, "limits": _own_limits(shop.limits, changes["limits"])}
    minutes_before = shop.standard_minutes
    for name, value in changes.items():
        setattr(shop, name, value)
    _check_minutes(shop.standard_minutes)
    _check_questions(shop.questions)
    _check_traffic(shop.traffic)
    shop.save()
    if "limits" in changes:
        trades.refill_all()
    if COUNTED.intersection(changes):
        learning.queue(cause=f"shop:{now.isoformat()}", now=now)
    shown = {name: str(value) for name, value in changes.items() if name != "standard_minutes"}
    changed = _changed(minutes_before, shop.standard_minutes)
    log.write("shop.change", shop, by=by, now=now, after=shown, minutes=changed)
    return shop


@transaction.atomic
def change_minutes(*, name: str, value_min: float | None, by: Person, now: datetime) -> Shop:
    """Change one standard time; None lets its prior value count again.

    Raises
    ------
    InvalidError
        If there is none of this name, or no work can take so long.
    """
    log.require(by, "shop.change")
    own = dict(Shop.objects.select_for_update().get().standard_minutes)
    _check_minutes(own | {name: value_min or 0.0})
    own.pop(name, None)
    if value_min is not None:
        own[name] = value_min
    return change(changes={"standard_minutes": own}, by=by, now=now)


def _own_limits(before: Mapping[str, float], given: object) -> dict[str, float]:
    """The shop's own limits with some changed; a limit given as None is the usual one again."""
    if not isinstance(given, Mapping):
        raise InvalidError({"/limits": "name each limit by its code, with its value"})
    dropped = {code for code, value in given.items() if value is None and code in limits.KNOWN}
    changed = {code: value for code, value in given.items() if code not in dropped}
    if faults := limits.faults(changed):
        raise InvalidError({f"/limits/{code}": fault for code, fault in faults.items()})
    return {code: value for code, value in before.items() if code not in dropped} | changed


def _zone(name: str) -> str:
    try:
        return ZoneInfo(name).key
    except (ZoneInfoNotFoundError, ValueError):
        raise InvalidError({"/time_zone": f"there is no time zone {name}"}) from None


def _changed(before: Mapping[str, float], after: Mapping[str, float]) -> dict[str, list[float]]:
    """The standard times that count otherwise now: what counted, and what counts."""
    counted = {
        time.name: [minutes.get(time.name, time.value_min) for minutes in (before, after)]
        for time in hours.standard_minutes()
    }
    return {name: pair for name, pair in counted.items() if pair[0] != pair[1]}


def _check_questions(own: object) -> None:
    if found := questions.problems(own):
        raise InvalidError({f"/questions{where}": why for where, why in found.items()})


def _check_traffic(steps: Sequence[tuple[int, int]]) -> None:
    try:
        scheduling.Traffic(
            steps=tuple((minute, percent) for minute, percent in steps or [(0, 100)])
        )
    except ValueError as error:
        raise InvalidError({"/traffic": str(error)}) from None


def _check_minutes(minutes: object) -> None:
    known = {each.name for each in hours.standard_minutes()}
    if not isinstance(minutes, dict):
        raise InvalidError({"/standard_minutes": "name each minute: {name: minutes}"})
    for name, value in minutes.items():
        if name not in known:
            raise InvalidError({f"/standard_minutes/{name}": "there is no such standard minute"})
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 10_000:
            raise InvalidError({f"/standard_minutes/{name}": "must be minutes, 0 or more"})
