"""Plans with their bounds: proven ones against the cheapest of all, and the steps between."""

from itertools import islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import after_iterations, evaluate, solve, verify
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.bound import Relaxation
from crewjobs.domain.scheduling.build import first_draft
from crewjobs.domain.scheduling.columns import Lister
from crewjobs.domain.scheduling.dive import mended
from crewjobs.domain.scheduling.proof import Proof
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, visit
from tests.domain.scheduling.test_solve import least_cost, small


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    load_share=st.sampled_from([0.3, 0.6, 1.2]),
    afters=st.integers(0, 2),
)
def test_a_proven_plan_is_the_cheapest_of_all(seed, load_share, afters):
    problem = small(seed, load_share=load_share, afters=afters)
    schedule = solve(problem, seed=1, stop=after_iterations(2000))
    assert schedule.is_proven
    assert schedule.cost.total == schedule.lower_bound == least_cost(problem)


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 3), enough=st.integers(0, 400))
def test_it_may_be_stopped_at_any_step(seed, afters, enough):
    problem = boards.random_problem(seed, Shape(crews=2, days=4, visits=16, afters=afters))
    asked = iter(range(10**6))
    schedule = solve(problem, seed=1, stop=lambda _: next(asked) >= enough)
    assert verify(problem, schedule) == ()
    assert schedule.lower_bound is None or schedule.lower_bound <= schedule.cost.total


@pytest.mark.parametrize("seed", range(3))
def test_a_week_of_two_crews_is_proven_and_ends_by_itself(seed):
    problem = boards.random_problem(seed, Shape(crews=2, days=5, visits=18, afters=2))
    schedule = solve(problem, seed=seed, stop=after_iterations(10**6))
    assert schedule.is_proven
    assert verify(problem, schedule) == ()


def test_a_plan_that_hangs_together_has_no_bound():
    parts = [visit("a", duration_min=300), visit("a2", duration_min=300, continues="a")]
    problem = boards.problem([crew_day(on=on) for on in range(3)], parts)
    schedule = solve(problem, seed=1, stop=after_iterations(30))
    assert schedule.lower_bound is None
    assert not schedule.is_proven


def test_a_visit_taken_twice_stays_where_leaving_it_saves_less():
    visits = [visit("near", 10), visit("far", 100), visit("beyond", 110)]
    board = Board(boards.problem([crew_day(), crew_day("B")], visits))
    draft = mended(board, {0: (0, 1), 1: (1, 2)})
    assert draft == {0: (0,), 1: (1, 2)}


def test_a_proof_that_finds_a_cheaper_plan_returns_it():
    problem = boards.random_problem(4, Shape(crews=2, days=3, visits=10))
    board = Board(problem)
    draft = first_draft(board, None)
    relaxed = Relaxation(board, Lister(board), range(len(board.crew_days)))
    relaxed.take_up(draft)
    list(islice(relaxed.rounds(), 10**6))
    cost = evaluate.breakdown(board, draft).total
    proof = Proof(relaxed, cost + 1, lambda: False)
    list(proof.steps())
    assert proof.verdict.is_proven
    assert proof.verdict.draft is not None
    found = evaluate.breakdown(board, proof.verdict.draft).total
    assert found == solve(problem, seed=1, stop=after_iterations(2000)).cost.total <= cost
