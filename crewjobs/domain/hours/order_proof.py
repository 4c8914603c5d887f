"""An order of work from an exact solver, where one is installed (the extra `onsite`).

It decides nothing: what it finds is an order like any other, and without it the known one stays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.util import find_spec

from crewjobs.domain.hours.network import Network, tails

IS_INSTALLED = find_spec("ortools") is not None
if IS_INSTALLED:
    from ortools.sat.python import cp_model


@dataclass(frozen=True, kw_only=True, slots=True)
class Proof:
    """An order, and whether no other ends sooner."""

    order: tuple[int, ...]
    is_shortest: bool


def proven(
    network: Network, durations: Sequence[int], known: Sequence[int], *, most_s: float
) -> Proof:
    """The best order within so many deterministic seconds of the solver, or the known one.

    `durations` are whole numbers of any unit.
    """
    if not IS_INSTALLED or not network.tasks or most_s <= 0:
        return Proof(order=tuple(known), is_shortest=False)
    model, starts = _model(network, durations)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = most_s
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Proof(order=tuple(known), is_shortest=False)
    rank = {at: n for n, at in enumerate(network.sequence)}
    by_start = sorted(rank, key=lambda at: (solver.value(starts[at]), rank[at]))
    return Proof(order=tuple(by_start), is_shortest=status == cp_model.OPTIMAL)


def _model(
    network: Network, durations: Sequence[int]
) -> "tuple[cp_model.CpModel, list[cp_model.IntVar]]":
    """Starts with a span for each task, people never more than there are, the end made early."""
    tail = tails(network, durations)
    most = sum(durations)
    model = cp_model.CpModel()
    starts = [model.new_int_var(0, most - rest, "") for rest in tail]
    end = model.new_int_var(max(tail), most, "")
    for start, spent, task in zip(starts, durations, network.tasks, strict=True):
        model.add(end >= start + spent)
        for earlier in task.after:
            model.add(start >= starts[earlier] + durations[earlier])
    for which, room in enumerate(network.capacity):
        taking = [
            (model.new_fixed_size_interval_var(starts[at], durations[at], ""), task.demand[which])
            for at, task in enumerate(network.tasks)
            if task.demand[which] and durations[at]
        ]
        model.add_cumulative([span for span, _ in taking], [each for _, each in taking], room)
    model.minimize(end)
    return model, starts
