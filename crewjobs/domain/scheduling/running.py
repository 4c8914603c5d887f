"""A day that has begun, as what is left to plan: what has started is held, the past is closed.

A crew at work stays until the visit is expected to end; one that must be on its way keeps its next
visit. A crew that is gone has no day any more, one without a truck carries no stone.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from crewjobs.domain.scheduling.board import clock, worked
from crewjobs.domain.scheduling.problem import (
    CrewDay,
    Placed,
    Problem,
    Schedule,
    Slot,
    Unplaced,
    Visit,
    Window,
)
from crewjobs.domain.scheduling.travel import Place

DAY_MIN = 24 * 60


@dataclass(frozen=True, kw_only=True, slots=True)
class Started:
    """A visit that a crew has begun today, or is over with."""

    visit: str
    crew: str
    place: Place
    start_min: int
    end_min: int
    """When it is expected to end, or did."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Running:
    """How a day stands at a minute of it."""

    day: date
    now_min: int
    started: tuple[Started, ...] = ()
    gone: Mapping[str, int] = field(default_factory=dict)
    """Crews that do not work today any more, from which minute on."""
    without_truck: frozenset[str] = frozenset()


def from_now(problem: Problem, plan: Schedule, running: Running) -> tuple[Problem, Schedule]:
    """What is left to plan, and the plan of it: what is held is locked and in both."""
    gone = {crew for crew, since in running.gone.items() if since <= running.now_min}
    held = dict(_held(problem, plan, running, gone))
    crew_days = tuple(
        _crew_day(problem, at, running, held.get(at.crew))
        for at in problem.crew_days
        if at.day > running.day or (at.day == running.day and at.crew not in gone)
    )
    known = {each.visit for each in running.started}
    pinned: dict[str, Visit | None] = {visit.id: visit for visit in held.values()}
    days = sorted({at.day for at in crew_days})
    visits = tuple(
        pinned.pop(each.id, None) or _not_before(each, running, days)
        for each in problem.visits
        if each.id not in known or each.id in pinned
    )
    left = replace(
        problem,
        crew_days=crew_days,
        visits=(*visits, *(pin for pin in pinned.values() if pin)),
        today=running.day,
    )
    return left, _plan_left(left, plan, held, running)


def held_in(problem: Problem) -> frozenset[str]:
    """The visits that are held in what is left to plan: nothing else has no windows there."""
    return frozenset(v.id for v in problem.visits if v.lock is not None and v.windows is None)


def _held(
    problem: Problem, plan: Schedule, running: Running, gone: set[str]
) -> Iterator[tuple[str, Visit]]:
    """For each crew the visit that it is at, was at last, or must be on its way to."""
    visits = {visit.id: visit for visit in problem.visits}
    begun = {each.visit for each in running.started}
    for at in problem.crew_days:
        if at.day != running.day or at.crew in gone:
            continue
        mine = [each for each in running.started if each.crew == at.crew]
        last = max(mine, key=lambda each: (each.start_min, each.end_min), default=None)
        if last is None or last.end_min <= running.now_min:
            coming = _coming(plan, at, running, begun)
            if coming is not None and coming.visit in visits:
                start = max(coming.start_min, running.now_min)
                yield at.crew, _pin(visits[coming.visit], at, start)
                continue
        if last is not None:
            end = max(last.end_min, running.now_min)
            minutes = worked(at, end) - worked(at, last.start_min)
            yield (
                at.crew,
                _pin(
                    Visit(id=last.visit, place=last.place, duration_min=max(0, minutes)),
                    at,
                    last.start_min,
                ),
            )


def _coming(plan: Schedule, at: CrewDay, running: Running, begun: set[str]) -> Placed | None:
    """The next visit of a crew, if the crew must have set off for it by now."""
    stops = [
        stop
        for stop in plan.placed
        if (stop.crew, stop.day) == (at.crew, at.day) and stop.visit not in begun
    ]
    first = min(stops, key=lambda stop: stop.start_min, default=None)
    if first is None:
        return None
    sets_off_min = worked(at, first.start_min) - first.drive_min
    return first if sets_off_min <= worked(at, running.now_min) else None


def _pin(visit: Visit, at: CrewDay, start_min: int) -> Visit:
    """The visit held at a start, asking nothing any more: its stone is there."""
    start_min = clock(at, worked(at, start_min))
    return replace(
        visit,
        windows=None,
        ready_on=None,
        latest_on=None,
        hands=1,
        skills=frozenset(),
        mass_kg=0.0,
        longest_piece_mm=0.0,
        load_thickness_mm=0.0,
        lock=Slot(crew=at.crew, day=at.day, start_min=start_min),
        after=None,
        continues=None,
        assists=None,
    )


def _crew_day(problem: Problem, at: CrewDay, running: Running, held: Visit | None) -> CrewDay:
    """The crew's day from now on; where a visit is held, the way to it is no matter any more."""
    if at.day != running.day:
        return at
    if at.crew in running.without_truck:
        at = replace(at, payload_kg=0.0, frame_length_mm=0.0, frame_thickness_mm=0.0)
    if held is not None:
        most_min = max(at.max_overtime_min, _way_home_min(problem, at, held))
        return replace(at, shift_start_min=0, max_overtime_min=most_min)
    start_min = max(at.shift_start_min, running.now_min)
    return replace(at, shift_start_min=start_min, shift_end_min=max(start_min, at.shift_end_min))


def _way_home_min(problem: Problem, at: CrewDay, held: Visit) -> int:
    """How far past its shift the crew comes home from a held visit, whatever the usual limit."""
    start_min = (held.lock and held.lock.start_min) or 0
    drive_min = int(problem.travel.minutes([held.place, at.depot])[0, 1])
    if not problem.traffic.is_even:
        drive_min *= 2
    end_min = worked(at, start_min) + held.duration_min
    return max(0, end_min + drive_min - worked(at, at.shift_end_min))


def _not_before(visit: Visit, running: Running, days: list[date]) -> Visit:
    """The visit with what is past taken out of its windows."""
    windows = visit.windows
    if windows is None:
        count = (days[-1] - running.day).days + 1 if days else 0
        windows = tuple(Window(day=running.day + timedelta(n)) for n in range(count))
    return replace(visit, windows=tuple(_left_of(windows, running)))


def _left_of(windows: tuple[Window, ...], running: Running) -> Iterator[Window]:
    for window in windows:
        if window.day > running.day:
            yield window
        elif window.day == running.day and window.latest_min >= running.now_min:
            yield replace(window, earliest_min=max(window.earliest_min, running.now_min))


def _plan_left(
    left: Problem, plan: Schedule, held: Mapping[str, Visit], running: Running
) -> Schedule:
    """The stops that are still to come, and those that are held."""
    known = {visit.id for visit in left.visits}
    pinned = {visit.id for visit in held.values()}
    placed = [stop for stop in plan.placed if stop.visit in known - pinned]
    for crew, visit in held.items():
        start_min = (visit.lock and visit.lock.start_min) or 0
        placed.append(
            Placed(visit=visit.id, crew=crew, day=running.day, start_min=start_min,
                   end_min=start_min + visit.duration_min, drive_min=0)
        )  # fmt: skip
    there = {stop.visit for stop in placed}
    return Schedule(
        placed=tuple(placed),
        unplaced=tuple(Unplaced(visit=name) for name in sorted(known - there)),
    )
