"""The crew board as PyVRP is told of it: a vehicle a crew-day, copies of a visit for its windows.

Each kind of crew has a profile of its own, in which the ways into visits that it cannot do cost
too much to be taken.
"""

import numpy as np
import pyvrp

from crewjobs.domain.scheduling import Problem
from crewjobs.domain.scheduling.board import Draft
from tests.bench.crew_words import DAY_MIN, Told, cpu_clock

FORBIDDEN = 10**6
LONG_MIN = 120
"""From here on a visit that may begin at any time of some days is told once for all of them."""


def draft(problem: Problem, *, seconds: float, seed: int) -> Draft:
    """What it finds within so many CPU seconds."""
    told = _Words(problem)
    is_over = cpu_clock(seconds)
    found = pyvrp.solve(
        told.data(), lambda _cost: is_over(), seed=seed, collect_stats=False, display=False
    )
    return {
        route.vehicle_type(): tuple(told.visit_of[stop.idx] for stop in route if stop.is_client())
        for route in found.best.routes()
    }


class _Words(Told):
    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.visit_of: list[int] = []
        """The visit of each client."""
        self.kinds = list(dict.fromkeys(map(self.kind, self.crew_days)))

    def kind(self, crew_day: int) -> tuple[object, ...]:
        at = self.board.crew_days[crew_day]
        return at.hands, at.skills, at.payload_kg, at.frame_length_mm

    def data(self):
        """All of it."""
        drive = self.drive(list(self.board.site))
        clients, groups = self.clients()
        return pyvrp.ProblemData(
            [pyvrp.Location(0, 0) for _ in range(len(drive))],
            clients,
            [pyvrp.Depot(n) for n in range(len(self.depots))],
            [self.vehicle(k) for k in self.crew_days],
            [self.costs(kind, drive) for kind in self.kinds],
            [drive] * len(self.kinds),
            groups,
        )

    def clients(self):
        """The copies of the visits, and which of them belong together."""
        clients: list[object] = []
        groups: list[object] = []
        for visit in self.visits:
            spans = self.spans(visit)
            group = None
            if len(spans) > 1:
                group = len(groups)
                copies = range(len(clients), len(clients) + len(spans))
                groups.append(pyvrp.ClientGroup(list(copies), required=False))
            clients += [self.client(visit, span, group) for span in spans]
            self.visit_of += [visit] * len(spans)
        return clients, groups

    def client(self, visit: int, span: tuple[int, int, int], group: int | None):
        low, high, late = span
        return pyvrp.Client(
            len(self.depots) + visit,
            delivery=self.load(visit),
            service_duration=self.board.visits[visit].duration_min,
            tw_early=low,
            tw_late=high,
            prize=max(0, self.board.price[visit] - late),
            required=False,
            group=group,
        )

    def spans(self, visit: int) -> list[tuple[int, int, int]]:
        """Its windows on one line of time, whole days of equal cost told as one."""
        found: list[tuple[int, int, int]] = []
        for day, low, high, late in self.windows(visit):
            begin, end = day * DAY_MIN + low, day * DAY_MIN + high
            is_any = self.board.visits[visit].duration_min >= LONG_MIN and low == 0
            is_next = found and found[-1][2] == late and found[-1][1] == begin - 1
            if is_any and is_next:
                found[-1] = (found[-1][0], end, late)
            else:
                found.append((begin, end, late))
        return found

    def vehicle(self, k: int):
        board, at = self.board, self.board.crew_days[k]
        origin = (board.day[k] - self.first_day) * DAY_MIN
        return pyvrp.VehicleType(
            1,
            [round(at.payload_kg), round(at.frame_thickness_mm)],
            self.depot(k),
            self.depot(k),
            fixed_cost=board.costs.crew_day,
            tw_early=origin + board.shift_start[k],
            tw_late=origin + board.latest_end[k],
            start_late=origin + board.shift_start[k],
            shift_duration=board.shift_end[k] - board.shift_start[k],
            max_overtime=at.max_overtime_min,
            unit_overtime_cost=board.costs.overtime,
            unit_distance_cost=1,
            profile=self.kinds.index(self.kind(k)),
        )

    def costs(self, kind, drive):
        """What each way costs a kind of crew."""
        hands, skills, payload_kg, frame_mm = kind
        table = drive * self.board.costs.drive
        for i, visit in enumerate(self.board.visits):
            can = visit.hands <= hands and visit.skills <= skills and visit.mass_kg <= payload_kg
            if not (can and visit.longest_piece_mm <= frame_mm):
                table[:, len(self.depots) + i] += FORBIDDEN
        np.fill_diagonal(table, 0)
        return table
