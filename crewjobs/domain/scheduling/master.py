"""The cheapest choice of columns, each taken or not, that keeps every row within its limits.

The only file that knows the solver (HiGHS). It knows nothing of crews and visits. It counts nodes,
not seconds, so the same question has the same answer.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import highspy
import numpy as np
from highspy import _core
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

BATCH = 500
"""Columns added to the linear program at once."""

MOST_COLUMNS = 5_000
"""Columns that the whole-number solve is given, the most promising ones."""

MOST_NODES = 200
"""Branch-and-bound nodes of one solve."""

TINY = 1e-6


@dataclass(frozen=True, slots=True)
class Choice:
    """Costs and rows of the columns (compressed by columns, none empty), and the rows' limits."""

    cost: Floats
    starts: Ints
    rows: Ints
    values: Floats
    low: Floats
    high: Floats


def cheapest(choice: Choice, *, below_cost: float) -> Ints | None:
    """The columns of the cheapest choice found; None if none is known below `below_cost`.

    The linear program starts with the columns that look cheap and is given more for as long as
    any other would lower its cost; often it is whole by itself or shows that nothing can be won.
    """
    linear = _Linear(choice)
    while linear.grown():
        pass
    if linear.solution is None or linear.cost >= below_cost - 0.5:
        return None
    taken = linear.solution > 0.5
    if np.all(np.abs(linear.solution - taken) < TINY):
        return linear.columns[taken]
    return _whole(choice, linear.worth_taking(below_cost - linear.cost), below_cost)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a linear program comes to."""

    cost: float
    value: Floats
    """Of every column."""
    dual: Floats
    """Of every row: what one more of it costs."""


class Program:
    """A linear program with fixed rows that is given more and more columns."""

    def __init__(self, low: Floats, high: Floats) -> None:
        self._model = _model()
        none = np.zeros(0, np.int32)
        for least, most in zip(low, high, strict=True):
            self._model.addRow(least, most, 0, none, np.zeros(0))

    def add(self, cost: Floats, starts: Ints, rows: Ints, values: Floats) -> None:
        """More columns, compressed, each at least 0."""
        count = len(cost)
        self._model.addCols(
            count, cost, np.zeros(count), np.full(count, highspy.kHighsInf), len(rows),
            starts[:-1].astype(np.int32), rows.astype(np.int32), values,
        )  # fmt: skip

    def reprice(self, column: int, cost: float) -> None:
        """Another cost of a column."""
        self._model.changeColCost(column, cost)

    def take(self, column: int) -> None:
        """The column is to be in every solution until it is let go."""
        self._model.changeColBounds(column, 1.0, 1.0)

    def let_go(self, column: int) -> None:
        """The column is free again."""
        self._model.changeColBounds(column, 0.0, highspy.kHighsInf)

    def solved(self) -> Answer | None:
        """The cheapest choice in parts, from the last one on; None if there is none."""
        self._model.run()
        if self._model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        found = self._model.getSolution()
        cost = float(self._model.getInfo().objective_function_value)
        return Answer(cost, np.array(found.col_value), np.array(found.row_dual))


class _Linear:
    """The linear program over a growing part of the columns."""

    def __init__(self, choice: Choice) -> None:
        self.choice = choice
        self.cost = 0.0
        self.solution: Floats | None = None
        self.columns = np.zeros(0, np.int64)
        self.reduced_cost = _net(choice, np.zeros(len(choice.low)))
        self._program = Program(choice.low, choice.high)
        lengths = np.diff(choice.starts)
        alone = np.nonzero(lengths == 1)[0]
        by_visit = choice.cost / lengths
        self._add(np.union1d(alone, np.argsort(by_visit, kind="stable")[:BATCH]))

    def grown(self) -> bool:
        """Solve; add what would lower the cost. False when there is nothing to add."""
        answer = self._program.solved()
        self.solution = None if answer is None else answer.value
        if answer is None:
            return False
        self.cost = answer.cost
        self.reduced_cost = _net(self.choice, answer.dual)
        wanted = np.nonzero(self.reduced_cost < -TINY)[0]
        wanted = np.setdiff1d(wanted, self.columns)
        if not len(wanted):
            return False
        self._add(wanted[np.argsort(self.reduced_cost[wanted], kind="stable")[:BATCH]])
        return True

    def worth_taking(self, gap_cost: float) -> Ints:
        """The columns that a solution better by less than the gap could still contain."""
        columns = np.nonzero(self.reduced_cost <= gap_cost)[0]
        if len(columns) > MOST_COLUMNS:
            order = np.argsort(self.reduced_cost[columns], kind="stable")
            columns = np.union1d(columns[order[:MOST_COLUMNS]], self.columns)
        return columns

    def _add(self, columns: Ints) -> None:
        starts, index = _part(self.choice, columns)
        values = self.choice.values[index]
        self._program.add(self.choice.cost[columns], starts, self.choice.rows[index], values)
        self.columns = np.concatenate([self.columns, columns])


@dataclass(frozen=True, slots=True)
class Proof:
    """The columns of a choice cheaper than asked, if one was found, and whether none is better."""

    taken: Ints | None
    is_proven: bool


def proven(choice: Choice, *, below_cost: float, is_enough: Callable[[], bool]) -> Proof:
    """The cheapest choice in whole numbers, unless somebody says that it is enough before."""
    columns = np.arange(len(choice.cost))
    model = _whole_model(choice, columns, below_cost)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)

    def ask(*told: object) -> None:
        answer = cast("_core.cb.HighsCallbackInput", told[3])
        answer.user_interrupt = is_enough()

    model.setCallback(ask, None)
    model.startCallback(_core.cb.HighsCallbackType.kCallbackMipInterrupt)
    model.run()
    status = model.getModelStatus()
    ended = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible,
             highspy.HighsModelStatus.kObjectiveBound)  # fmt: skip
    return Proof(_taken(model, columns, below_cost), status in ended)


def _whole(choice: Choice, columns: Ints, below_cost: float) -> Ints | None:
    """The cheapest choice found among some columns, in whole numbers."""
    model = _whole_model(choice, columns, below_cost)
    model.setOptionValue("mip_max_nodes", MOST_NODES)
    model.run()
    return _taken(model, columns, below_cost)


def _whole_model(choice: Choice, columns: Ints, below_cost: float) -> _core._Highs:
    starts, index = _part(choice, columns)
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = len(columns), len(choice.low)
    program.col_cost_ = choice.cost[columns]
    program.col_lower_, program.col_upper_ = np.zeros(len(columns)), np.ones(len(columns))
    program.row_lower_, program.row_upper_ = choice.low, choice.high
    program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    program.a_matrix_.start_ = starts.astype(np.int32)
    program.a_matrix_.index_ = choice.rows[index].astype(np.int32)
    program.a_matrix_.value_ = choice.values[index]
    program.integrality_ = [highspy.HighsVarType.kInteger] * len(columns)
    model = _model()
    model.setOptionValue("objective_bound", below_cost)
    model.passModel(program)
    return model


def _taken(model: _core._Highs, columns: Ints, below_cost: float) -> Ints | None:
    info, value = model.getInfo(), np.array(model.getSolution().col_value)
    is_known = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    if not is_known or info.objective_function_value >= below_cost - 0.5:
        return None
    return columns[value > 0.5]


def _model() -> _core._Highs:
    # The plain class: the convenient one prints a banner before it can be told to be quiet.
    model = _core._Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", 1)
    return model


def _part(choice: Choice, columns: Ints) -> tuple[Ints, Ints]:
    """Some columns: where each starts, and where its entries lie in the whole."""
    lengths = choice.starts[columns + 1] - choice.starts[columns]
    starts = np.concatenate([[0], np.cumsum(lengths)])
    return starts, np.repeat(choice.starts[columns] - starts[:-1], lengths) + np.arange(starts[-1])


def _net(choice: Choice, dual: Floats) -> Floats:
    """The cost of every column less what its rows pay for it."""
    paid = np.add.reduceat(choice.values * dual[choice.rows], choice.starts[:-1])
    return choice.cost - paid
