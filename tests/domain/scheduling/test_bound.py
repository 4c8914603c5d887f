"""The bound against the cheapest of all plans, and against the plans that are found."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import after_iterations, pricing, solve
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.bound import Relaxation
from crewjobs.domain.scheduling.columns import Lister
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape
from tests.domain.scheduling.test_solve import least_cost, small


def bound(problem) -> int:
    """The lower bound when nothing raises it any more."""
    board = Board(problem)
    relaxed = Relaxation(board, Lister(board), range(len(board.crew_days)))
    for _ in relaxed.rounds():
        pass
    return relaxed.lower_bound


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    load_share=st.sampled_from([0.3, 0.6, 1.2]),
    afters=st.integers(0, 2),
)
def test_no_plan_is_cheaper_than_the_bound(seed, load_share, afters):
    problem = small(seed, load_share=load_share, afters=afters)
    least = least_cost(problem)
    assert 0.5 * least <= bound(problem) <= least


def test_the_bound_lies_near_the_plan_that_is_found():
    problem = boards.random_problem(3, Shape(crews=2, days=4, visits=16))
    found = solve(problem, seed=1, stop=after_iterations(120)).cost.total
    assert 0.97 * found <= bound(problem) <= found


def test_pricing_that_follows_too_few_routes_still_bounds(monkeypatch):
    monkeypatch.setattr("crewjobs.domain.scheduling.bound.FEW_FOLLOWED", 2)
    monkeypatch.setattr(pricing, "MOST_FOLLOWED", 2)
    for seed in range(5):
        problem = small(seed)
        assert bound(problem) <= least_cost(problem)


def test_a_visit_alone_is_bounded_by_its_way():
    near = boards.problem([boards.crew_day()], [boards.visit(x=10)])
    assert bound(near) == 300 + 2 * 10 * 10


@pytest.mark.parametrize("visits", [0, 1])
def test_nobody_to_send_leaves_the_price_of_every_visit(visits):
    problem = boards.problem([], [boards.visit()] * visits)
    assert bound(problem) == 4_000 * visits
