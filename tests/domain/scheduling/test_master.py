"""The choice of columns against all choices tried."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import master


def choice(costs, sets, rows) -> master.Choice:
    """Columns that each cover a set of rows, every row to be covered exactly once."""
    return master.Choice(
        cost=np.array(costs, float),
        starts=np.cumsum([0, *map(len, sets)]),
        rows=np.array([row for each in sets for row in each], np.int64),
        values=np.ones(sum(map(len, sets))),
        low=np.ones(rows),
        high=np.ones(rows),
    )


def by_trying(costs, sets, rows) -> float:
    """The least cost of a choice that covers every row once."""
    best = float("inf")
    for taken in product((0, 1), repeat=len(sets)):
        covered = [row for is_in, each in zip(taken, sets, strict=True) if is_in for row in each]
        if sorted(covered) == list(range(rows)):
            best = min(best, sum(c for c, is_in in zip(costs, taken, strict=True) if is_in))
    return best


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_the_cheapest_choice_is_found(data):
    rows = data.draw(st.integers(2, 5))
    extra = data.draw(
        st.lists(st.sets(st.integers(0, rows - 1), min_size=1), min_size=1, max_size=7)
    )
    sets = [[row] for row in range(rows)] + [sorted(each) for each in extra]
    costs = data.draw(st.lists(st.integers(1, 50), min_size=len(sets), max_size=len(sets)))
    taken = master.cheapest(choice(costs, sets, rows), below_cost=10**9)
    assert taken is not None
    assert sum(costs[i] for i in taken) == by_trying(costs, sets, rows)


def test_nothing_is_returned_when_nothing_is_cheaper():
    covers = choice([5, 5, 7], [[0], [1], [0, 1]], 2)
    assert master.cheapest(covers, below_cost=7) is None
    taken = master.cheapest(covers, below_cost=8)
    assert taken is not None
    assert taken.tolist() == [2]


def test_a_choice_that_is_only_whole_by_branching_is_found():
    # Each pair of three rows costs 2: halves of all three would cost 3, a whole choice costs 4.
    sets = [[0], [1], [2], [0, 1], [1, 2], [0, 2]]
    taken = master.cheapest(choice([2, 2, 2, 2, 2, 2], sets, 3), below_cost=100)
    assert taken is not None
    assert len(taken) == 2


def test_rows_that_cannot_be_covered_have_no_choice():
    assert master.cheapest(choice([1], [[0]], 2), below_cost=100) is None


def test_the_solver_is_quiet(capfd):
    master.cheapest(choice([5, 5, 7], [[0], [1], [0, 1]], 2), below_cost=8)
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("columns", [3 * master.BATCH])
def test_columns_that_look_dear_are_taken_up_when_they_pay(columns):
    # One column covers everything; by its length it looks like the rest and comes in late.
    sets = [[0], [1], *[[0] for _ in range(columns)], [0, 1]]
    costs = [100, 100, *[1 for _ in range(columns)], 99]
    taken = master.cheapest(choice(costs, sets, 2), below_cost=1000)
    assert taken is not None
    assert taken.tolist() == [len(sets) - 1]
