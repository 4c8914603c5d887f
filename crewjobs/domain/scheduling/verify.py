"""An independent judge of plans: it knows the problem and the plan, not how plans are made.

It shares no code with what makes them, and reckons with the clock instead of worked minutes, so
that a mistake on either side shows. No finding means: no rule broken that it knows of.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from math import floor

from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.scheduling.problem import CrewDay, Placed, Problem, Schedule, Visit
from crewjobs.domain.scheduling.travel import Place, Travel

ROUNDING = 1e-6
"""Kilograms or millimetres that are rounding, not load."""


def verify(problem: Problem, schedule: Schedule) -> tuple[Finding, ...]:
    """A stop for each hard rule that a plan breaks, and for a cost that is not its cost."""
    judge = _Judge.of(problem)
    found = [*_membership(problem, schedule), *judge.findings(schedule)]
    if not found and (cost := judge.cost(schedule)) != schedule.cost.total:
        found.append(_stop("wrong_cost", f"the plan costs {cost}, not {schedule.cost.total}"))
    return tuple(found)


def _stop(code: str, message: str, about: str = "") -> Finding:
    source = "the shop's own rules for its plan"
    return Finding(code=code, severity=Severity.STOP, message=message, about=about, source=source)


def _membership(problem: Problem, schedule: Schedule) -> Iterator[Finding]:
    named = [stop.visit for stop in schedule.placed] + [left.visit for left in schedule.unplaced]
    known = {visit.id for visit in problem.visits}
    for name, times in Counter(named).items():
        if name not in known:
            yield _stop("unknown_visit", f"there is no visit {name}", name)
        if times > 1:
            yield _stop("visit_twice", f"visit {name} is in the plan {times} times", name)
    for name in sorted(known - set(named)):
        yield _stop("visit_missing", f"visit {name} is neither placed nor left out", name)


class _Drives:
    """Minutes from place to place, asked only for the legs that a plan has."""

    def __init__(self, travel: Travel) -> None:
        self.travel = travel
        self.known: dict[tuple[Place, Place], int] = {}

    def __getitem__(self, leg: tuple[Place, Place]) -> int:
        if leg not in self.known:
            self.known[leg] = int(self.travel.minutes(leg)[0, 1])
        return self.known[leg]


@dataclass(frozen=True, slots=True)
class _Judge:
    problem: Problem
    visits: dict[str, Visit]
    crew_days: dict[tuple[object, ...], CrewDay]
    minutes: "_Drives"

    @classmethod
    def of(cls, problem: Problem) -> "_Judge":
        return cls(
            problem,
            {visit.id: visit for visit in problem.visits},
            {(each.crew, each.day): each for each in problem.crew_days},
            _Drives(problem.travel),
        )  # fmt: skip

    def tours(self, schedule: Schedule) -> list[tuple[CrewDay, list[tuple[Visit, Placed]]]]:
        """The stops of each crew-day by start, those only that are known."""
        found = defaultdict(list)
        for stop in schedule.placed:
            if (stop.crew, stop.day) in self.crew_days and stop.visit in self.visits:
                found[stop.crew, stop.day].append((self.visits[stop.visit], stop))
        return [
            (self.crew_days[key], sorted(stops, key=lambda s: (s[1].start_min, s[1].end_min)))
            for key, stops in found.items()
        ]

    def findings(self, schedule: Schedule) -> Iterator[Finding]:
        for stop in schedule.placed:
            if (stop.crew, stop.day) not in self.crew_days:
                text = f"crew {stop.crew} does not work on {stop.day}"
                yield _stop("day_off", text, stop.visit)
        for at, stops in self.tours(schedule):
            for visit, stop in stops:
                yield from _visit_findings(at, visit, stop)
                yield from self._horizon_findings(visit, stop)
            yield from _load_findings(at, [visit for visit, _ in stops])
            yield from self._time_findings(at, stops)
        yield from self._order_findings(schedule)
        yield from self._part_findings(schedule)
        yield from self._helper_findings(schedule)

    def _time_findings(
        self, at: CrewDay, stops: Sequence[tuple[Visit, Placed]]
    ) -> Iterator[Finding]:
        here, since = at.depot, at.shift_start_min
        for visit, stop in stops:
            drive = self._drive(at, since, (here, visit.place))
            room = _worked(at, since, stop.start_min)
            if room < drive:
                text = f"crew {at.crew} has {room} minutes for a drive of {drive} to {visit.id}"
                yield _stop("no_time_to_drive", text, visit.id)
            if stop.drive_min != drive:
                text = f"the drive to {visit.id} takes {drive} minutes, not {stop.drive_min}"
                yield _stop("wrong_drive", text, visit.id)
            here, since = visit.place, stop.end_min
        if (over := self._overtime(at, stops)) > at.max_overtime_min:
            most = at.max_overtime_min
            text = f"crew {at.crew} works {over} minutes over on {at.day}, the most is {most}"
            yield _stop("over_overtime", text, stops[-1][0].id)

    def _overtime(self, at: CrewDay, stops: Sequence[tuple[Visit, Placed]]) -> int:
        visit, stop = stops[-1]
        back = self._drive(at, stop.end_min, (visit.place, at.depot))
        return max(0, back - _worked(at, stop.end_min, at.shift_end_min))

    def _drive(self, at: CrewDay, since: int, leg: tuple[Place, Place]) -> int:
        """Worked minutes of a drive that begins at a minute of the clock, one after the other."""
        left, minute, worked = self.minutes[leg] * 100, since, 0
        if self.problem.traffic.is_even:
            return left // 100
        while left > 0:
            if _worked(at, minute, minute + 1):
                left -= self.problem.traffic.percent(minute)
                worked += 1
            minute += 1
        return worked

    def _horizon_findings(self, visit: Visit, stop: Placed) -> Iterator[Finding]:
        horizon, told = self.problem.horizon, visit.promise
        if horizon is None:
            return
        first = (horizon.day, horizon.start_min)
        is_soon = told is not None and (told.day, told.start_min or 0) < first
        if is_soon and told is not None and (told.crew, told.day) == (stop.crew, stop.day):
            return
        if (stop.day, stop.start_min) < first:
            text = f"visit {visit.id} starts before anything may still be changed"
            yield _stop("before_horizon", text, visit.id)
        if is_soon and self._could_stay(visit):
            text = f"visit {visit.id} starts too soon to be given another crew or day"
            yield _stop("frozen_moved", text, visit.id)

    def _could_stay(self, visit: Visit) -> bool:
        """Whether the visit alone could be at some minute of its promised crew-day."""
        told = visit.promise
        at = None if told is None else self.crew_days.get((told.crew, told.day))
        return at is not None and any(
            not any(self._alone_findings(at, visit, minute))
            for minute in range(at.shift_start_min, at.shift_end_min + at.max_overtime_min + 1)
        )

    def _alone_findings(self, at: CrewDay, visit: Visit, start_min: int) -> Iterator[Finding]:
        end_min = start_min
        while _worked(at, start_min, end_min) < visit.duration_min:
            end_min += 1
        drive = self._drive(at, at.shift_start_min, (at.depot, visit.place))
        stop = Placed(
            visit=visit.id, crew=at.crew, day=at.day, start_min=start_min, end_min=end_min,
            drive_min=drive,
        )  # fmt: skip
        yield from _visit_findings(at, visit, stop)
        yield from _load_findings(at, [visit])
        yield from self._time_findings(at, [(visit, stop)])

    def _part_findings(self, schedule: Schedule) -> Iterator[Finding]:
        """The next part of a visit: the same crew, on the next day that it works."""
        stops = {stop.visit: stop for stop in schedule.placed}
        for visit in self.problem.visits:
            first, stop = stops.get(visit.continues or ""), stops.get(visit.id)
            if visit.continues is None or (first is None and stop is None):
                continue
            if first is None or stop is None:
                yield _stop("not_whole", f"a part of visit {visit.id} has no place", visit.id)
                continue
            later = [at.day for at in self.problem.crew_days if at.crew == first.crew]
            following = min((day for day in later if day > first.day), default=None)
            if (stop.crew, stop.day) != (first.crew, following):
                text = f"visit {visit.id} is not with crew {first.crew} on its next day"
                yield _stop("not_continued", text, visit.id)

    def _helper_findings(self, schedule: Schedule) -> Iterator[Finding]:
        """A hand lent: another crew, at the same minute."""
        stops = {stop.visit: stop for stop in schedule.placed}
        crews = defaultdict[str, list[str]](list)
        for visit in self.problem.visits:
            helped, stop = stops.get(visit.assists or ""), stops.get(visit.id)
            if visit.assists is None or (helped is None and stop is None):
                continue
            if helped is None or stop is None:
                yield _stop("not_whole", f"visit {visit.id} or the one it helps is left out",
                            visit.id)  # fmt: skip
                continue
            if (stop.day, stop.start_min) != (helped.day, helped.start_min):
                text = f"visit {visit.id} does not start with {visit.assists}"
                yield _stop("not_together", text, visit.id)
            if stop.crew in {helped.crew, *crews[visit.assists]}:
                text = f"crew {stop.crew} cannot lend itself a hand at visit {visit.id}"
                yield _stop("same_crew", text, visit.id)
            crews[visit.assists].append(stop.crew)

    def _order_findings(self, schedule: Schedule) -> Iterator[Finding]:
        days = {stop.visit: stop.day for stop in schedule.placed}
        for visit in self.problem.visits:
            if visit.after is None or visit.id not in days:
                continue
            before = days.get(visit.after.visit)
            if before is None or (days[visit.id] - before).days < visit.after.lead_days:
                lead, first = visit.after.lead_days, visit.after.visit
                text = f"visit {visit.id} does not come {lead} days after {first}"
                yield _stop("out_of_order", text, visit.id)

    def cost(self, schedule: Schedule) -> int:
        """What the plan costs, added up stop by stop."""
        costs, total = self.problem.costs, 0
        for at, stops in self.tours(schedule):
            sites = [at.depot, *(visit.place for visit, _ in stops), at.depot]
            total += costs.crew_day + costs.drive * sum(
                self.minutes[leg] for leg in pairwise(sites)
            )
            total += costs.overtime * self._overtime(at, stops)
            total += sum(self._stop_cost(visit, stop) for visit, stop in stops)
            outside = [v for v, _ in stops if at.areas and not at.areas & v.areas]
            total += costs.outside * len(outside)
        total += self._uneven_cost(schedule)
        return total + sum(self._left_out_cost(self.visits[u.visit]) for u in schedule.unplaced)

    def _uneven_cost(self, schedule: Schedule) -> int:
        """Each crew's squared deviation from the utilisation of all, weighed, in whole numbers."""
        shifts, work = Counter[str](), Counter[str]()
        for at in self.problem.crew_days:
            shifts[at.crew] += _worked(at, at.shift_start_min, at.shift_end_min)
        for stop in schedule.placed:
            work[stop.crew] += self.visits[stop.visit].duration_min
        if not (everything := shifts.total()):
            return 0
        mean = Fraction(work.total(), everything)
        weight = self.problem.costs.uneven
        off = [Fraction(work[crew], shift) - mean for crew, shift in shifts.items() if shift]
        return sum(floor(weight * each**2) for each in off)

    def _left_out_cost(self, visit: Visit) -> int:
        costs = self.problem.costs
        cost = costs.unplaced[visit.priority - 1]
        cost += costs.dropped * self._told_factor(visit) if visit.promise is not None else 0
        if visit.due_on is not None and self.problem.crew_days:
            after = max(at.day for at in self.problem.crew_days) + timedelta(days=1)
            cost += costs.late_day * visit.priority * max(0, (after - visit.due_on).days)
        return cost + (costs.unlocked if visit.lock is not None else 0)

    def _stop_cost(self, visit: Visit, stop: Placed) -> int:
        costs, cost = self.problem.costs, 0
        if visit.due_on is not None and stop.day > visit.due_on:
            cost += costs.late_day * visit.priority * (stop.day - visit.due_on).days
        told = visit.promise
        if told is None:
            return cost
        factor = self._told_factor(visit)
        cost += costs.moved_crew * factor if stop.crew != told.crew else 0
        if stop.day != told.day:
            return cost + costs.moved_day * factor
        minutes_off = 0 if told.start_min is None else abs(stop.start_min - told.start_min)
        if minutes_off <= costs.start_tolerance_min:
            return cost
        first = self.problem.horizon
        is_soon = first is not None and (told.day, told.start_min) < (first.day, first.start_min)
        is_held = is_soon and stop.crew == told.crew
        return cost + (costs.thawed if is_held else costs.moved_start * factor)

    def _told_factor(self, visit: Visit) -> int:
        costs = self.problem.costs
        is_today = visit.promise is not None and visit.promise.day == self.problem.today
        return costs.promise_factors[visit.promised] * (costs.today_factor if is_today else 1)


def _worked(at: CrewDay, since: int, until: int) -> int:
    """The minutes of the clock between two, those of the break not counted; below 0 if reversed."""
    if until < since:
        return -_worked(at, until, since)
    if at.pause is None:
        return until - since
    rest = min(until, at.pause.end_min) - max(since, at.pause.start_min)
    return until - since - max(0, rest)


def _visit_findings(at: CrewDay, visit: Visit, stop: Placed) -> Iterator[Finding]:
    name = visit.id
    if visit.hands > at.hands:
        text = f"visit {name} needs {visit.hands} hands, crew {at.crew} has {at.hands}"
        yield _stop("too_few_hands", text, name)
    if missing := sorted(visit.skills - at.skills):
        yield _stop("skill_missing", f"crew {at.crew} lacks the skill {missing[0]}", name)
    if visit.longest_piece_mm > at.frame_length_mm + ROUNDING:
        text = f"the A-frame takes {at.frame_length_mm:g} mm, {name} has {visit.longest_piece_mm:g}"
        yield _stop("piece_too_long", text, name)
    if visit.ready_on is not None and stop.day < visit.ready_on:
        yield _stop("not_ready", f"visit {name} is ready on {visit.ready_on}", name)
    if visit.latest_on is not None and stop.day > visit.latest_on:
        yield _stop("after_last_day", f"visit {name} may be on {visit.latest_on} at last", name)
    yield from _slot_findings(visit, stop)
    yield from _span_findings(at, visit, stop)


def _slot_findings(visit: Visit, stop: Placed) -> Iterator[Finding]:
    name, lock = visit.id, visit.lock
    open_now = [
        window
        for window in visit.windows or ()
        if window.day == stop.day and window.earliest_min <= stop.start_min <= window.latest_min
    ]
    if visit.windows is not None and not open_now:
        yield _stop("outside_window", f"visit {name} starts outside of its windows", name)
    if lock is not None and (
        (lock.crew, lock.day) != (stop.crew, stop.day)
        or lock.start_min not in (None, stop.start_min)
    ):
        yield _stop("lock_broken", f"visit {name} is locked elsewhere", name)


def _span_findings(at: CrewDay, visit: Visit, stop: Placed) -> Iterator[Finding]:
    length = _worked(at, stop.start_min, stop.end_min)
    if length != visit.duration_min:
        text = f"visit {visit.id} takes {visit.duration_min} minutes, not {length}"
        yield _stop("wrong_duration", text, visit.id)
    if at.pause is not None and at.pause.start_min <= stop.start_min < at.pause.end_min:
        yield _stop("starts_in_break", f"visit {visit.id} starts in the break", visit.id)


def _load_findings(at: CrewDay, visits: Sequence[Visit]) -> Iterator[Finding]:
    mass_kg = sum(visit.mass_kg for visit in visits)
    if mass_kg > at.payload_kg + ROUNDING:
        text = f"the truck takes {at.payload_kg:g} kg, the visits of {at.day} have {mass_kg:g}"
        yield _stop("over_payload", text, at.crew)
    stack_mm = sum(visit.load_thickness_mm for visit in visits)
    if stack_mm > at.frame_thickness_mm + ROUNDING:
        text = f"the A-frame takes {at.frame_thickness_mm:g} mm, the day has {stack_mm:g}"
        yield _stop("frame_full", text, at.crew)
