"""An independent judge of plans: it knows the problem and the plan, not how plans are made.

It shares no code with what makes them, and reckons with the clock instead of worked minutes, so
that a mistake on either side shows. No finding means: no rule broken that it knows of.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.scheduling.problem import CrewDay, Placed, Problem, Schedule, Visit
from crewjobs.domain.scheduling.travel import Place

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


@dataclass(frozen=True, slots=True)
class _Judge:
    problem: Problem
    visits: dict[str, Visit]
    crew_days: dict[tuple[object, ...], CrewDay]
    minutes: dict[tuple[Place, Place], int]

    @classmethod
    def of(cls, problem: Problem) -> "_Judge":
        places = list({c.depot for c in problem.crew_days} | {v.place for v in problem.visits})
        table = problem.travel.minutes(places).tolist() if places else []
        return cls(
            problem,
            {visit.id: visit for visit in problem.visits},
            {(each.crew, each.day): each for each in problem.crew_days},
            {(a, b): m for a, row in zip(places, table, strict=True)
             for b, m in zip(places, row, strict=True)},
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
            yield from _load_findings(at, [visit for visit, _ in stops])
            yield from self._time_findings(at, stops)
        yield from self._order_findings(schedule)

    def _time_findings(
        self, at: CrewDay, stops: Sequence[tuple[Visit, Placed]]
    ) -> Iterator[Finding]:
        here, since = at.depot, at.shift_start_min
        for visit, stop in stops:
            drive, room = self.minutes[here, visit.place], _worked(at, since, stop.start_min)
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
        back = self.minutes[visit.place, at.depot]
        return max(0, back - _worked(at, stop.end_min, at.shift_end_min))

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
        return total + sum(self._left_out_cost(self.visits[u.visit]) for u in schedule.unplaced)

    def _left_out_cost(self, visit: Visit) -> int:
        costs = self.problem.costs
        cost = costs.unplaced[visit.priority - 1]
        cost += costs.dropped if visit.promise is not None else 0
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
        cost += costs.moved_crew if stop.crew != told.crew else 0
        if stop.day != told.day:
            return cost + costs.moved_day
        minutes_off = 0 if told.start_min is None else abs(stop.start_min - told.start_min)
        return cost + (costs.moved_start if minutes_off > costs.start_tolerance_min else 0)


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
