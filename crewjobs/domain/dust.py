"""What protects from silica dust: controls and respirators by task, and a day's exposure.

Two named sets: the table of the United States and the guidance of the United Kingdom; they ask for
different respirators. It knows tasks, places and hours; it refuses to know a measured dust, which
comes first where somebody measured. No row covers cutting dry without a shroud.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from crewjobs.domain.facts import CutoutKind, DustRules, Piece, at_least

SOURCES = {
    "US": "29 CFR 1926.1153(c)(1), table 1, and (c)(2), (c)(3); combined hours from memory",
    "UK": "UK HSE, Installing stone worktops, and guidance of 2025 as quoted by others",
}
CAUTION = (
    "Cut in the shop what can be cut there, outside what must be cut on site; clean wet or with "
    "the vacuum, never sweep dry or blow. Local rules and a measured exposure come first."
)
Level = float
"""Of dust or a gas in the air, in the unit that the limit has."""
LONG_SHIFT_MIN = 240.0
"""Table 1 splits at 4 hours."""
LIMIT_UG_M3 = {"US": 50.0, "UK": 100.0}
"""8-hour average: 29 CFR 1926.1153(d)(1); UK EH40, from memory."""
DRILLED = frozenset({CutoutKind.TAP_HOLE, CutoutKind.ACCESSORY_HOLE})
"""Holes made with a core drill; others are sawn."""
ACTION_UG_M3 = 25.0
"""29 CFR 1926.1153(b)."""
SHIFT_MIN = 480.0
"""29 CFR 1910.1000(d)(1)(i): divided by 8 hours, however long the day."""


class Task(StrEnum):
    """A task that raises dust, with the control that the rules ask for."""

    WET_STATIONARY_SAW = "stationary saw, water to the blade"
    WET_HANDHELD_SAW = "handheld saw, water to the blade"
    WET_CORE_DRILL = "core drill on a stand, water to the cut"
    SHROUDED_DRILL = "drill with shroud and vacuum"
    SHROUDED_GRINDER = "grinder with shroud and vacuum"
    WET_GRINDER = "grinder with water"


class Respirator(StrEnum):
    """The class of a respirator by its assigned protection factor."""

    NONE = "none"
    APF_10 = "APF 10"
    APF_20 = "APF 20"


_NONE, _TEN = Respirator.NONE, Respirator.APF_10
TABLE_1: dict[tuple[Task, bool], tuple[Respirator, Respirator]] = {
    (Task.WET_STATIONARY_SAW, True): (_NONE, _NONE),
    (Task.WET_STATIONARY_SAW, False): (_NONE, _NONE),
    (Task.WET_HANDHELD_SAW, True): (_NONE, _TEN),
    (Task.WET_HANDHELD_SAW, False): (_TEN, _TEN),
    (Task.WET_CORE_DRILL, True): (_NONE, _NONE),
    (Task.WET_CORE_DRILL, False): (_NONE, _NONE),
    (Task.SHROUDED_DRILL, True): (_NONE, _NONE),
    (Task.SHROUDED_DRILL, False): (_NONE, _NONE),
    (Task.SHROUDED_GRINDER, True): (_NONE, _NONE),
    (Task.SHROUDED_GRINDER, False): (_NONE, _TEN),
    (Task.WET_GRINDER, True): (_NONE, _NONE),
}
"""By task and whether it is outdoors: up to 4 hours, and longer. That a wet grinder counts outdoors
alone is from memory."""


@dataclass(frozen=True, kw_only=True, slots=True)
class DustyWork:
    """One task of a person's shift."""

    task: Task
    minutes_min: float
    is_outdoors: bool

    def __post_init__(self) -> None:
        at_least("minutes_min", self.minutes_min, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Protection:
    """What one task asks for. No respirator is known where the table has no row."""

    work: DustyWork
    controls: str
    respirator: Respirator | None


def on_site(piece: Piece, minutes: Mapping[str, float]) -> list[DustyWork]:
    """The dusty work that one piece plans on site: cuts to fit outside, holes where it is set.

    The minutes are the shop's standard times, by name.

    Examples
    --------
    >>> top = Piece(name="A", outline_mm=((0, 0), (2400, 0), (2400, 600), (0, 600)),
    ...             thickness_mm=30, needs_field_cut=True)
    >>> [(str(w.task), w.is_outdoors) for w in on_site(top, {"field_cut.cut_min": 18})]
    [('handheld saw, water to the blade', True)]
    """
    found = []
    if piece.needs_field_cut:
        cut_min = minutes["field_cut.cut_min"]
        found.append(DustyWork(task=Task.WET_HANDHELD_SAW, minutes_min=cut_min, is_outdoors=True))
    for hole in piece.cutouts:
        if hole.is_made_on_site:
            is_drilled = hole.kind in DRILLED
            task = Task.WET_CORE_DRILL if is_drilled else Task.WET_HANDHELD_SAW
            name = "site_holes.core_min" if is_drilled else "site_holes.opening_min"
            found.append(DustyWork(task=task, minutes_min=minutes[name], is_outdoors=False))
    return found


def protections(shift: Sequence[DustyWork], rules: DustRules) -> tuple[Protection, ...]:
    """What each task of one shift asks for, by the hours of all of them together.

    Examples
    --------
    >>> saw = DustyWork(task=Task.WET_HANDHELD_SAW, minutes_min=12, is_outdoors=False)
    >>> protections((saw,), DustRules.US)[0].respirator.value
    'APF 10'
    """
    is_long = sum(each.minutes_min for each in shift) > LONG_SHIFT_MIN
    return tuple(
        Protection(
            work=each, controls=_controls(each, rules), respirator=_worn(each, rules, is_long)
        )
        for each in shift
    )


def _worn(work: DustyWork, rules: DustRules, is_long: bool) -> Respirator | None:
    if rules is DustRules.UK:
        return Respirator.APF_20
    row = TABLE_1.get((work.task, work.is_outdoors))
    return row[is_long] if row else None


def _controls(work: DustyWork, rules: DustRules) -> str:
    vacuum = "an M-class vacuum" if rules is DustRules.UK else "a vacuum with a 99 % filter"
    air = "" if work.is_outdoors else "; exhaust the room's air so that no dust is seen"
    if work.task in (Task.SHROUDED_DRILL, Task.SHROUDED_GRINDER):
        return f"the shroud closed and {vacuum} running{air}"
    return f"water on all the time, enough that no dust is seen{air}"


def shroud_cfm(wheel_mm: float) -> int:
    """The air flow that a grinder's vacuum needs, in cubic feet a minute, rounded up.

    References
    ----------
    29 CFR 1926.1153, table 1 (xii): 25 a minute for each inch of the wheel.

    Examples
    --------
    >>> shroud_cfm(4 * 25.4), shroud_cfm(4.5 * 25.4), shroud_cfm(5 * 25.4)
    (100, 113, 125)
    """
    return -int(-25 * round(wheel_mm / 25.4, 6) // 1)


def average(spells: Sequence[tuple[float, float]]) -> Level:
    """The 8-hour average of spells, each its minutes and its level; in the levels' own unit.

    References
    ----------
    29 CFR 1910.1000(d)(1)(i): ``(C1 T1 + ... + Cn Tn) / 8``, with T in hours.

    Raises
    ------
    ValueError
        If a time or level is below zero.

    Examples
    --------
    >>> average([(120, 150), (120, 75), (240, 50)])
    81.25
    """
    for minutes, level in spells:
        at_least("minutes", minutes, 0)
        at_least("level", level, 0)
    return sum(minutes * level for minutes, level in spells) / SHIFT_MIN


class Exposure(StrEnum):
    """Where a day's average of respirable silica lies; without counting a respirator."""

    BELOW = "below the action level"
    ACTION = "at or above the action level"
    ABOVE = "above the limit"


def exposure(spells: Sequence[tuple[float, float]], rules: DustRules) -> Exposure:
    """Where a day lies whose spells are minutes and micrograms a cubic metre.

    The action level is the one of the United States in both sets.

    Examples
    --------
    >>> exposure([(120, 180), (360, 10)], DustRules.US).value
    'above the limit'
    """
    level = average(spells)
    if level > LIMIT_UG_M3[rules]:
        return Exposure.ABOVE
    return Exposure.ACTION if level >= ACTION_UG_M3 else Exposure.BELOW


@dataclass(frozen=True, kw_only=True, slots=True)
class Shift:
    """One person's day by one set of rules."""

    rules: DustRules
    protections: tuple[Protection, ...]
    average_ug_m3: Level | None
    """Over 8 hours; None where a level was not measured."""
    exposure: Exposure | None

    @property
    def together_min(self) -> float:
        """All tasks of the day: past 4 hours each counts as a long one."""
        return sum(each.work.minutes_min for each in self.protections)

    @property
    def is_long(self) -> bool:
        """Whether the longer column counts."""
        return self.together_min > LONG_SHIFT_MIN

    @property
    def limit_ug_m3(self) -> Level:
        """The most that a day may average."""
        return LIMIT_UG_M3[self.rules]

    @property
    def action_ug_m3(self) -> Level:
        """From here on somebody must act."""
        return ACTION_UG_M3

    @property
    def basis(self) -> str:
        """Where the rules are from."""
        return SOURCES[self.rules]


def shift(work: Sequence[DustyWork], levels: Sequence[Level | None], rules: DustRules) -> Shift:
    """What a day's tasks ask for together, and its average where each task's level was measured.

    Examples
    --------
    >>> saw = DustyWork(task=Task.WET_HANDHELD_SAW, minutes_min=120, is_outdoors=True)
    >>> shift([saw, saw], [180, 30], DustRules.US).average_ug_m3
    52.5
    """
    minutes = [each.minutes_min for each in work]
    known = [level for level in levels if level is not None]
    spells = list(zip(minutes, known, strict=True)) if len(known) == len(minutes) else []
    return Shift(
        rules=rules,
        protections=protections(work, rules),
        average_ug_m3=average(spells) if spells else None,
        exposure=exposure(spells, rules) if spells else None,
    )
