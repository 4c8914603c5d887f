"""The crew board as OR-Tools routing is told of it: a disjunction of windows for each visit."""

from collections import defaultdict

import numpy as np
from ortools.constraint_solver import pywrapcp, routing_enums_pb2

from crewjobs.domain.scheduling import Problem, evaluate
from crewjobs.domain.scheduling.board import Draft
from tests.bench.crew_words import DAY_MIN, Told, cpu_clock


def draft(problem: Problem, *, seconds: float) -> Draft | None:
    """What it finds within so many CPU seconds; None if no plan at all."""
    return _Words(problem).solved(seconds)


class _Words(Told):
    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.nodes = [(i, *window) for i in self.visits for window in self.windows(i)]
        starts = [self.depot(k) for k in self.crew_days]
        size = len(self.depots) + len(self.nodes)
        self.index = pywrapcp.RoutingIndexManager(size, len(starts), starts, starts)
        self.model = pywrapcp.RoutingModel(self.index)
        self.clock = self._clock()
        self._loads()
        for k in self.crew_days:
            self._crew_day(k)
        self._visits()

    def solved(self, seconds: float) -> Draft | None:
        is_over = cpu_clock(seconds)
        self.model.AddSearchMonitor(self.model.solver().CustomLimit(is_over))
        found = self.model.SolveWithParameters(_rules(seconds))
        if found is None:
            return None
        orders = {k: self._order(found, k) for k in self.crew_days}
        return {k: order for k, order in orders.items() if order}

    def _per_node(self, values) -> list[int]:
        return [0] * len(self.depots) + list(values)

    def _clock(self):
        """Costs of every way, and the time along a route."""
        drive = self.drive([self.board.site[i] for i, *_ in self.nodes])
        late = np.array(self._per_node(cost for *_, cost in self.nodes))
        works = self._per_node(self.board.visits[i].duration_min for i, *_ in self.nodes)
        costs = self.model.RegisterTransitMatrix((drive * self.board.costs.drive + late).tolist())
        self.model.SetArcCostEvaluatorOfAllVehicles(costs)
        times = self.model.RegisterTransitMatrix((drive + np.array(works)[:, None]).tolist())
        self.model.AddDimension(times, DAY_MIN, DAY_MIN, False, "time")
        return self.model.GetDimensionOrDie("time")

    def _loads(self) -> None:
        for which, room in enumerate(("payload_kg", "frame_thickness_mm")):
            asked = self._per_node(self.load(i)[which] for i, *_ in self.nodes)
            taken = self.model.RegisterUnaryTransitVector(asked)
            most = [round(getattr(each, room)) for each in self.board.crew_days]
            self.model.AddDimensionWithVehicleCapacity(taken, 0, most, True, room)

    def _crew_day(self, k: int) -> None:
        board, first = self.board, self.board.shift_start[k]
        end = self.model.End(k)
        self.clock.CumulVar(self.model.Start(k)).SetRange(first, first)
        self.clock.CumulVar(end).SetRange(first, board.latest_end[k])
        self.clock.SetCumulVarSoftUpperBound(end, board.shift_end[k], board.costs.overtime)
        self.model.SetFixedCostOfVehicle(board.costs.crew_day, k)

    def _visits(self) -> None:
        copies = defaultdict(list)
        for n, (visit, day, low, high, _) in enumerate(self.nodes):
            at = self.index.NodeToIndex(len(self.depots) + n)
            copies[visit].append(at)
            self.clock.CumulVar(at).SetRange(low, high)
            self.model.VehicleVar(at).SetValues([-1, *self._may(visit, self.first_day + day)])
        for visit, ats in copies.items():
            self.model.AddDisjunction(ats, self.board.price[visit], 1)

    def _may(self, visit: int, day: int) -> list[int]:
        of_day = (k for k in self.crew_days if self.board.day[k] == day)
        return [k for k in of_day if evaluate.fits(self.board, visit, k)]

    def _order(self, found, crew_day: int) -> tuple[int, ...]:
        order, at = [], found.Value(self.model.NextVar(self.model.Start(crew_day)))
        while not self.model.IsEnd(at):
            order.append(self.nodes[self.index.IndexToNode(at) - len(self.depots)][0])
            at = found.Value(self.model.NextVar(at))
        return tuple(order)


def _rules(seconds: float):
    rules = pywrapcp.DefaultRoutingSearchParameters()
    first, search = (
        routing_enums_pb2.FirstSolutionStrategy,
        routing_enums_pb2.LocalSearchMetaheuristic,
    )
    rules.first_solution_strategy = first.PARALLEL_CHEAPEST_INSERTION
    rules.local_search_metaheuristic = search.GUIDED_LOCAL_SEARCH
    rules.time_limit.FromMilliseconds(round(seconds * 4000))  # of the clock, if nothing else ends
    return rules
