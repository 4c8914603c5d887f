"""A board too large to be searched whole: cut into parts, solved apart, joined, cut elsewhere.

``first_cut`` goes by depots and what lies around them; ``cut_again`` groups the crews of a plan
along another line each turn, so that every border lies inside a part once. Parts share nothing: it
does not matter who solves them, in which order, or how many at once. ``joined`` makes one plan.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from math import ceil, cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from crewjobs.domain.scheduling import fairness
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.problem import (
    CostBreakdown,
    CrewDay,
    Problem,
    Schedule,
    Slot,
    Visit,
)
from crewjobs.domain.scheduling.travel import Place

Floats = NDArray[np.float64]

MOST_CREW_DAYS = 130
"""In one part: 13 crews over ten working days. Not measured beyond boards of 200 crews."""

CROWDING_TURNS = 25
CROWDING_KM = 6.0
"""How much farther a depot seems for being full twice over, at most; later turns count less."""

ABOVE_ALL_SHARE = 0.1
"""So much more of its room than all together may a team have to do."""

DRIVE_MIN = 25.0
"""What a visit takes of a day besides its own minutes; only the depots' crowding hangs on it."""

TURN_DEG = 66.6
"""Between the lines of two turns: none of the first dozen is nearly the same as another."""

KM_PER_DEG = 111.2

FAR_KM = 1e6
"""To a depot none of whose crews can do a visit."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A problem of its own, the plan to start from, and the visits that must stay in it."""

    problem: Problem
    warm: Schedule
    held: frozenset[str]
    """Linked to a visit of another part: they stand still."""
    seed: int


def first_cut(
    problem: Problem, *, seed: int, most_crew_days: int = MOST_CREW_DAYS
) -> tuple[Part, ...]:
    """Parts by depot, each of so many crew-days at most; a crowded depot's work goes to the next.

    What was published or locked goes to the part of its crew.
    """
    if len(problem.crew_days) <= most_crew_days:
        return (_whole(problem, Schedule(), seed),)
    teams = tuple(_by_depot(problem, most_crew_days))
    standing = {visit.id: slot for visit in problem.visits if (slot := visit.lock or visit.promise)}
    cut = _Cut(problem, teams, standing)
    return tuple(cut.parts(_homes(problem, teams), Schedule(), seed))


def cut_again(
    problem: Problem,
    schedule: Schedule,
    *,
    turn: int,
    seed: int,
    most_crew_days: int = MOST_CREW_DAYS,
) -> tuple[Part, ...]:
    """Parts of crews that work near each other along another line, each with its share of a plan.

    A visit without a place goes to the nearest part.
    """
    if len(problem.crew_days) <= most_crew_days:
        return (_whole(problem, schedule, seed + 1000 * turn),)
    teams, middles = _by_line(problem, schedule, turn, most_crew_days)
    standing = {
        stop.visit: Slot(crew=stop.crew, day=stop.day, start_min=stop.start_min)
        for stop in schedule.placed
    }
    sites = _points([visit.place for visit in problem.visits])
    near = np.linalg.norm(sites[:, None] - middles[None], axis=2).argmin(axis=1)
    cut = _Cut(problem, teams, standing)
    return tuple(cut.parts(near.tolist(), schedule, seed + 1000 * turn))


def planned(
    problem: Problem,
    *,
    seed: int,
    turns: int,
    run: Callable[[Sequence[Part]], list[Schedule]],
    most_crew_days: int = MOST_CREW_DAYS,
) -> Iterator[Schedule]:
    """The plan after each turn, each better than or like the one before; `run` solves parts."""
    parts = first_cut(problem, seed=seed, most_crew_days=most_crew_days)
    schedule = joined(problem, run(parts))
    yield schedule
    for turn in range(1, turns + 1):
        parts = cut_again(problem, schedule, turn=turn, seed=seed, most_crew_days=most_crew_days)
        schedule = joined(problem, run(parts))
        yield schedule


def _whole(problem: Problem, schedule: Schedule, seed: int) -> Part:
    return Part(problem=problem, warm=schedule, held=frozenset(), seed=seed)


def is_kept(part: Part, schedule: Schedule) -> bool:
    """Whether a part's plan has left standing what must stand; otherwise it cannot be joined."""
    stays = {visit.id: visit.lock for visit in part.problem.visits if visit.id in part.held}
    at = {stop.visit: (stop.crew, stop.day, stop.start_min) for stop in schedule.placed}
    return all(
        at.get(name) == (lock.crew, lock.day, lock.start_min)
        for name, lock in stays.items()
        if lock is not None
    )


def joined(problem: Problem, schedules: Iterable[Schedule]) -> Schedule:
    """One plan of the plans of all parts, with the cost that it has on the whole board."""
    found = list(schedules)
    placed = [stop for each in found for stop in each.placed]
    left = [left for each in found for left in each.unplaced]
    board = Board(problem)
    sums = {
        each.name: sum(getattr(one.cost, each.name) for one in found)
        for each in fields(CostBreakdown)
    }
    sums["unplaced"] = sum(board.price[board.visit_number[each.visit]] for each in left)
    work_min = dict.fromkeys(board.open_min, 0)
    for stop in placed:
        work_min[stop.crew] += board.visits[board.visit_number[stop.visit]].duration_min
    sums["uneven"] = fairness.cost(board, work_min)
    return Schedule(
        placed=tuple(sorted(placed, key=lambda stop: (stop.day, stop.crew, stop.start_min))),
        unplaced=tuple(sorted(left, key=lambda each: each.visit)),
        cost=CostBreakdown(**sums),
    )


class _Cut:
    """A board with its crews in teams, and where visits stand already."""

    def __init__(
        self,
        problem: Problem,
        teams: Sequence[frozenset[str]],
        standing: Mapping[str, Slot],
    ) -> None:
        self.problem = problem
        self.teams = teams
        self.team_of = {crew: n for n, team in enumerate(teams) for crew in team}
        self.standing = {name: slot for name, slot in standing.items() if slot.crew in self.team_of}

    def parts(self, homes: Sequence[int], schedule: Schedule, seed: int) -> Iterator[Part]:
        """The parts, when visits that stand nowhere go to these teams."""
        home = dict(zip((visit.id for visit in self.problem.visits), homes, strict=True))
        known = {visit.id: visit for visit in self.problem.visits}
        visits = defaultdict[int, list[Visit]](list)
        held = set[str]()
        for kin in _kin(self.problem.visits):
            at = {self.team_of[s.crew] for name in kin if (s := self.standing.get(name))}
            if len(at) <= 1:
                visits[next(iter(at), home[kin[0]])] += [known[name] for name in kin]
                continue
            for name in kin:
                visits[self._team(name, home)].append(self._loose(known[name]))
            held.update(name for name in kin if name in self.standing)
        order = {name: n for n, name in enumerate(known)}
        for n, team in enumerate(self.teams):
            mine = sorted(visits[n], key=lambda visit: order[visit.id])
            yield self._part(team, mine, schedule, held, seed + n)

    def _team(self, name: str, home: Mapping[str, int]) -> int:
        slot = self.standing.get(name)
        return home[name] if slot is None else self.team_of[slot.crew]

    def _loose(self, visit: Visit) -> Visit:
        """A visit whose kin stand in several parts: it stays where it is, or waits for a turn."""
        slot = self.standing.get(visit.id)
        free = replace(visit, after=None, continues=None, assists=None)
        return replace(free, windows=()) if slot is None else replace(free, lock=slot)

    def _part(
        self,
        team: frozenset[str],
        visits: Sequence[Visit],
        schedule: Schedule,
        held: set[str],
        seed: int,
    ) -> Part:
        names = {visit.id for visit in visits}
        crew_days = tuple(each for each in self.problem.crew_days if each.crew in team)
        return Part(
            problem=replace(self.problem, crew_days=crew_days, visits=tuple(visits)),
            warm=Schedule(placed=tuple(s for s in schedule.placed if s.visit in names)),
            held=frozenset(names & held),
            seed=seed,
        )


def _kin(visits: Sequence[Visit]) -> Iterator[list[str]]:
    """The visits in groups that are linked, by whatever kind of link."""
    leader = {visit.id: visit.id for visit in visits}

    def root(name: str) -> str:
        while leader[name] != name:
            leader[name] = name = leader[leader[name]]
        return name

    for visit in visits:
        ends = (visit.after.visit if visit.after else None, visit.continues, visit.assists)
        for other in filter(None, ends):
            leader[root(visit.id)] = root(other)
    groups = defaultdict[str, list[str]](list)
    for visit in visits:
        groups[root(visit.id)].append(visit.id)
    yield from groups.values()


def _by_depot(problem: Problem, most: int) -> Iterator[frozenset[str]]:
    """The crews of each depot, dealt out by what they can where they are too many for a part."""
    crew_days = _crew_days(problem)
    of_depot = defaultdict[Place, list[str]](list)
    for crew, days in crew_days.items():
        of_depot[days[0].depot].append(crew)
    for crews in of_depot.values():
        count = ceil(sum(len(crew_days[crew]) for crew in crews) / most)
        able = sorted(crews, key=lambda crew: (_ability(crew_days[crew][0]), crew))
        yield from (frozenset(able[n::count]) for n in range(min(count, len(able))))


def _crew_days(problem: Problem) -> dict[str, list[CrewDay]]:
    found = defaultdict[str, list[CrewDay]](list)
    for each in problem.crew_days:
        found[each.crew].append(each)
    return dict(found)


def _ability(of: CrewDay) -> tuple[int, list[str], float, float]:
    return of.hands, sorted(of.skills), of.payload_kg, of.frame_length_mm


def _homes(problem: Problem, teams: Sequence[frozenset[str]]) -> list[int]:
    """The team of each visit: the nearest depot's that can do it, unless that is crowded.

    Teams of one depot share its surroundings by direction.
    """
    crew_days = _crew_days(problem)
    members = [[each for crew in sorted(team) for each in crew_days[crew]] for team in teams]
    sites = _points([visit.place for visit in problem.visits])
    away_km = np.linalg.norm(
        sites[:, None] - _points([days[0].depot for days in members])[None], axis=2
    )
    away_km += FAR_KM * ~np.array(
        [[_could(visit, kinds) for kinds in map(_kinds, members)] for visit in problem.visits],
        dtype=bool,
    ).reshape(away_km.shape)
    room_min = np.array(
        [sum(d.shift_end_min - d.shift_start_min for d in days) for days in members]
    )
    work_min = np.array([visit.duration_min + DRIVE_MIN for visit in problem.visits])
    away_km += _aside_km(sites, members)
    return _uncrowded(away_km, work_min, room_min)


def _kinds(days: Iterable[CrewDay]) -> list[tuple[int, frozenset[str], float, float]]:
    """What some crew of them can, each kind once."""
    return list({(d.hands, d.skills, d.payload_kg, d.frame_length_mm) for d in days})


def _could(visit: Visit, kinds: Iterable[tuple[int, frozenset[str], float, float]]) -> bool:
    return any(
        visit.hands <= hands
        and visit.skills <= skills
        and visit.mass_kg <= payload_kg
        and visit.longest_piece_mm <= frame_mm
        for hands, skills, payload_kg, frame_mm in kinds
    )


def _aside_km(sites: Floats, members: Sequence[Sequence[CrewDay]]) -> Floats:
    """How much farther a visit seems to a team that looks the other way from a shared depot."""
    aside = np.zeros((len(sites), len(members)))
    same = defaultdict[Place, list[int]](list)
    for n, days in enumerate(members):
        same[days[0].depot].append(n)
    for depot, which in same.items():
        out = sites - _points([depot])
        for place, n in enumerate(which):
            angle = radians(360 * place / len(which))
            facing = out @ np.array([cos(angle), sin(angle)])
            if len(which) > 1:
                aside[:, n] = np.linalg.norm(out, axis=1) - facing
    return aside


def _uncrowded(away_km: Floats, work_min: Floats, room_min: Floats) -> list[int]:
    """The nearest team of each visit, when crowded ones seem farther and none is too full.

    Where teams are full, the visits with most to lose choose first.
    """
    away_km = away_km + _crowding_km(away_km, work_min, room_min)
    left_min = (1 + ABOVE_ALL_SHARE) * work_min.sum() * room_min / max(1, room_min.sum())
    ranks = np.argsort(away_km, axis=1, kind="stable")
    nearest = np.take_along_axis(away_km, ranks, axis=1)
    lost_km = nearest[:, min(1, nearest.shape[1] - 1)] - nearest[:, 0]
    homes = ranks[:, 0].tolist()
    for visit in np.argsort(-lost_km, kind="stable").tolist():
        able = [team for team in ranks[visit] if away_km[visit, team] < FAR_KM]
        free = (team for team in able if left_min[team] >= work_min[visit])
        homes[visit] = int(next(free, homes[visit]))
        left_min[homes[visit]] -= work_min[visit]
    return [int(team) for team in homes]


def _crowding_km(away_km: Floats, work_min: Floats, room_min: Floats) -> Floats:
    seems_km = np.zeros(away_km.shape[1])
    for turn in range(CROWDING_TURNS):
        nearest = (away_km + seems_km).argmin(axis=1)
        full = np.bincount(nearest, work_min, len(room_min)) / np.maximum(room_min, 1)
        seems_km += CROWDING_KM / (1 + turn * 0.2) * (full - full.mean())
    return seems_km


def _by_line(
    problem: Problem, schedule: Schedule, turn: int, most: int
) -> tuple[tuple[frozenset[str], ...], Floats]:
    """Crews in groups by where the middle of their work lies along a line, and those middles."""
    crew_days = _crew_days(problem)
    place = {visit.id: visit.place for visit in problem.visits}
    worked = defaultdict[str, list[Place]](list)
    for stop in schedule.placed:
        worked[stop.crew].append(place[stop.visit])
    crews = sorted(crew_days)
    middle = np.array(
        [_points(worked[crew] or [crew_days[crew][0].depot]).mean(axis=0) for crew in crews]
    )
    angle = radians(TURN_DEG * turn)
    along = np.argsort(middle @ np.array([cos(angle), sin(angle)]), kind="stable")
    count = min(len(crews), ceil(len(problem.crew_days) / most))
    groups = np.array_split(along, count)
    teams = tuple(frozenset(crews[n] for n in group) for group in groups)
    return teams, np.array([middle[group].mean(axis=0) for group in groups])


def _points(places: Sequence[Place]) -> Floats:
    """Kilometres east and north, good enough to compare distances within a region."""
    lat = np.array([place.at_lat for place in places])
    lon = np.array([place.at_lon for place in places])
    return KM_PER_DEG * np.column_stack([lon * np.cos(np.radians(lat)), lat])
