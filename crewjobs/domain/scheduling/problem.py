"""What is to be planned, and what a plan is. Plain values: it plans nothing and judges nothing.

Days are dates and minutes are whole minutes since midnight on the shop's own clock, so nothing
here knows a time zone. A crew's day off is a crew-day that is not there.
"""

from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass, field
from datetime import date
from enum import IntEnum

from crewjobs.domain.facts import at_least
from crewjobs.domain.scheduling.travel import EVEN, GreatCircle, Place, Traffic, Travel


@dataclass(frozen=True, kw_only=True, slots=True)
class Break:
    """A gap cut out of a crew's clock: work and drives stop in it and go on after it."""

    start_min: int
    end_min: int

    def __post_init__(self) -> None:
        at_least("start_min", self.start_min, 0)
        at_least("end_min", self.end_min, self.start_min + 1)


LUNCH = Break(start_min=12 * 60, end_min=12 * 60 + 30)
"""Common practice; the shop sets its own."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CrewDay:
    """One crew on one day that it works: it leaves its depot loaded and comes back to it."""

    crew: str
    day: date
    depot: Place
    hands: int = 2
    skills: frozenset[str] = frozenset()
    shift_start_min: int = 8 * 60
    shift_end_min: int = 17 * 60
    max_overtime_min: int = 60
    payload_kg: float = 1000.0
    frame_length_mm: float = 3200.0
    """The longest piece that the A-frame takes."""
    frame_thickness_mm: float = 600.0
    """How much stone, thickness on thickness, stands on the A-frame."""
    pause: Break | None = LUNCH
    areas: frozenset[str] = frozenset()
    """Its own territory; empty: everywhere. Outside of it a visit costs more."""

    def __post_init__(self) -> None:
        at_least("hands", self.hands, 1)
        at_least("shift_start_min", self.shift_start_min, 0)
        at_least("shift_end_min", self.shift_end_min, self.shift_start_min)
        for name in ("max_overtime_min", "payload_kg", "frame_length_mm", "frame_thickness_mm"):
            at_least(name, getattr(self, name), 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """When the crew may arrive on one day."""

    day: date
    earliest_min: int = 0
    latest_min: int = 24 * 60

    def __post_init__(self) -> None:
        at_least("earliest_min", self.earliest_min, 0)
        at_least("latest_min", self.latest_min, self.earliest_min)


@dataclass(frozen=True, kw_only=True, slots=True)
class Slot:
    """A crew, a day, a start. As a lock without a start, any time of that day will do."""

    crew: str
    day: date
    start_min: int | None = None


class Promised(IntEnum):
    """Who knows where a visit is published to be; the more, the dearer to move."""

    PUBLISHED = 0
    """The crew, by its calendar."""
    TOLD = 1
    """The customer too."""
    ACCEPTED = 2
    """The customer said yes to it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Horizon:
    """The first minute at which a plan may still be another one."""

    day: date
    start_min: int = 0

    def __post_init__(self) -> None:
        at_least("start_min", self.start_min, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class After:
    """At least `lead_days` after the day of another visit, and not without it."""

    visit: str
    lead_days: int = 1

    def __post_init__(self) -> None:
        at_least("lead_days", self.lead_days, 1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """One visit to one site: what it asks of a crew, when it may be, what was promised."""

    id: str
    place: Place
    duration_min: int
    """The minutes to plan with; somewhere between P50 and P80."""
    p50_min: int = 0
    p80_min: int = 0
    windows: tuple[Window, ...] | None = None
    """Any of them will do; of an empty row, no time will. None: any time of any shift."""
    ready_on: date | None = None
    """The first day on which the stone is there."""
    due_on: date | None = None
    """Later is late, and has a price."""
    latest_on: date | None = None
    """Later cannot be."""
    priority: int = 1
    """1 usual, 2 pressing, 3 urgent."""
    hands: int = 1
    skills: frozenset[str] = frozenset()
    mass_kg: float = 0.0
    longest_piece_mm: float = 0.0
    load_thickness_mm: float = 0.0
    lock: Slot | None = None
    """Where somebody has put it. It narrows the choice; every other rule still holds."""
    promise: Slot | None = None
    """Where it was published; to move it has a price."""
    promised: Promised = Promised.PUBLISHED
    """Who knows of the promise."""
    areas: frozenset[str] = frozenset()
    """The territories that its site lies in."""
    after: After | None = None
    continues: str | None = None
    """The visit that it is the next part of: same crew, on the next day that this crew works."""
    assists: str | None = None
    """The visit that it lends a hand to: same day and start, another crew."""

    def __post_init__(self) -> None:
        for name in (
            "duration_min", "p50_min", "p80_min", "mass_kg", "longest_piece_mm",
            "load_thickness_mm", "hands",
        ):  # fmt: skip
            at_least(name, getattr(self, name), 0)
        if self.priority not in (1, 2, 3):
            raise ValueError(f"priority is {self.priority}, it must be 1, 2 or 3")
        if self.continues is not None and self.assists is not None:
            raise ValueError(f"visit {self.id} continues one visit and assists another")


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """What a plan is measured by. The unit is a tenth of a minute of driving.

    References
    ----------
    Common practice, not measured: the ratios are a shop's choice and may be edited.
    """

    drive: int = 10
    """A minute of driving."""
    overtime: int = 20
    """A minute after the end of the shift."""
    crew_day: int = 300
    """Sending a crew out at all."""
    late_day: int = 600
    """A day after the due date, times the priority."""
    unplaced: tuple[int, int, int] = (4_000, 8_000, 16_000)
    """A visit without a place, by priority 1, 2, 3; on top of that it is late by the plan's end."""
    dropped: int = 20_000
    """A published visit without a place, on top of the price above; times what follows."""
    promise_factors: tuple[int, int, int] = (1, 2, 4)
    """The prices of moving and dropping, by who knows: published, told, accepted."""
    today_factor: int = 3
    """On top, what is promised for today."""
    thawed: int = 20_000
    """A start before the horizon that is not kept to, instead of `moved_start`."""
    unlocked: int = 100_000
    """A locked visit without a place, on top of the prices above."""
    moved_day: int = 2_000
    """A published visit on another day."""
    moved_crew: int = 800
    """A published visit with another crew."""
    moved_start: int = 400
    """A published visit, same day, that starts more than `start_tolerance_min` off."""
    start_tolerance_min: int = 30
    outside: int = 300
    """A visit outside of its crew's territory."""
    uneven: int = 0
    """Each crew's squared deviation from the utilisation of all; 0: nobody minds."""

    def __post_init__(self) -> None:
        for name in ("drive", "overtime", "crew_day", "late_day", "dropped", "unlocked"):
            at_least(name, getattr(self, name), 0)
        for name in ("thawed", "outside", "today_factor", "uneven"):
            at_least(name, getattr(self, name), 0)
        at_least("promise_factors", min(self.promise_factors), 0)
        for name in ("moved_day", "moved_crew", "moved_start", "start_tolerance_min"):
            at_least(name, getattr(self, name), 0)
        at_least("unplaced", min(self.unplaced), 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """Everything that a plan depends on."""

    crew_days: tuple[CrewDay, ...]
    visits: tuple[Visit, ...]
    costs: Costs = field(default_factory=Costs)
    travel: Travel = field(default_factory=GreatCircle)
    traffic: Traffic = EVEN
    today: date | None = None
    """The day whose promises are the dearest."""
    horizon: Horizon | None = None
    """What was promised to start before it keeps crew and day if it can; nothing new starts."""

    def __post_init__(self) -> None:
        _once("visit", (visit.id for visit in self.visits))
        _once("crew-day", ((each.crew, each.day) for each in self.crew_days))
        ids = {visit.id for visit in self.visits}
        before = {visit.id: visit.after.visit for visit in self.visits if visit.after}
        _leads_on("come after", before, ids)
        with_others = {
            visit.id: other for visit in self.visits if (other := visit.continues or visit.assists)
        }
        _leads_on("go with", with_others, ids)
        _once("part after", (visit.continues for visit in self.visits if visit.continues))
        assisting = {visit.id for visit in self.visits if visit.assists}
        if wrong := sorted(assisting.intersection(with_others.values())):
            raise ValueError(f"visit {wrong[0]} assists and cannot be continued or assisted")


def _leads_on(how: str, others: Mapping[str, str], ids: Set[str]) -> None:
    """Refuse others that are not there, or that lead back."""
    if unknown := sorted(set(others.values()) - ids):
        raise ValueError(f"there is no visit {unknown[0]} to {how}")
    for start in others:
        seen, at = {start}, others.get(start)
        while at is not None and at not in seen:
            seen, at = seen | {at}, others.get(at)
        if at is not None:
            raise ValueError(f"visit {start} would {how} itself")


def _once(kind: str, keys: Iterable[object]) -> None:
    seen = set[object]()
    for key in keys:
        if key in seen:
            raise ValueError(f"{kind} {key} is there twice")
        seen.add(key)


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """One visit in a plan. A break inside it lies between its start and its end."""

    visit: str
    crew: str
    day: date
    start_min: int
    end_min: int
    drive_min: int
    """From the stop before, or from the depot."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """One thing that speaks against a visit on a crew-day, with its numbers."""

    code: str
    message: str
    needs: int | None = None
    has: int | None = None
    crew: str = ""
    day: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Unplaced:
    """A visit that the plan leaves out, and why."""

    visit: str
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class CostBreakdown:
    """What a plan costs, by cause."""

    drive: int = 0
    overtime: int = 0
    crew_days: int = 0
    late: int = 0
    moved: int = 0
    unplaced: int = 0
    outside: int = 0
    uneven: int = 0

    @property
    def total(self) -> int:
        """The sum that the search makes small."""
        known = self.drive + self.overtime + self.crew_days + self.late
        return known + self.moved + self.unplaced + self.outside + self.uneven


@dataclass(frozen=True, kw_only=True, slots=True)
class Schedule:
    """A plan: every visit of its problem is in exactly one of the two lists."""

    placed: tuple[Placed, ...] = ()
    """By day, crew and start."""
    unplaced: tuple[Unplaced, ...] = ()
    cost: CostBreakdown = field(default_factory=CostBreakdown)
    lower_bound: int | None = None
    """What no plan can be cheaper than, where that is known."""

    @property
    def is_proven(self) -> bool:
        """Whether no plan is cheaper."""
        return self.lower_bound is not None and self.cost.total <= self.lower_bound


@dataclass(frozen=True, kw_only=True, slots=True)
class Move:
    """A visit that two plans place differently; None where a plan leaves it out."""

    visit: str
    before: Placed | None
    after: Placed | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """How far the search is. It is handed to the stop rule before every iteration."""

    iterations: int
    idle: int
    """Iterations since the plan last became better."""
    cost: int


Stop = Callable[[Progress], bool]
"""Asked before every iteration; True ends the search with the best plan so far."""


def after_iterations(most: int, *, idle: int | None = None) -> Stop:
    """A stop rule that counts, so that the same seed gives the same plan on any machine."""

    def stop(progress: Progress) -> bool:
        return progress.iterations >= most or (idle is not None and progress.idle >= idle)

    return stop
