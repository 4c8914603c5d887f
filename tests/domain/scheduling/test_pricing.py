"""Routes worth their visits, against all routes listed."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import pricing
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.columns import Lister
from crewjobs.domain.scheduling.travel import Traffic
from tests.domain.scheduling import boards

RUSH = Traffic(steps=((0, 100), (420, 60), (560, 100), (930, 130), (1010, 80)))


def by_listing(lister: Lister, crew_day: int, worth) -> list[float]:
    """The net costs of all routes, low ones first."""
    routes = lister.routes(crew_day, lister.candidates(crew_day).number.tolist())
    paid = np.where(routes.order >= 0, worth[routes.order], 0).sum(axis=1)
    return sorted((routes.cost - paid).tolist())


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    load_share=st.sampled_from([0.3, 0.6, 1.0]),
    worth_factor=st.floats(0.2, 3),
    below=st.sampled_from([-500.0, 0.0, 300.0]),
    traffic=st.sampled_from([Traffic(), RUSH]),
)
def test_what_is_priced_is_what_listing_finds(seed, load_share, worth_factor, below, traffic):
    shape = boards.Shape(crews=1, days=2, visits=9, load_share=load_share)
    problem = replace(boards.random_problem(seed, shape), traffic=traffic)
    board, worth = worths(problem, seed, worth_factor)
    lister = Lister(board)
    every = by_listing(lister, 0, worth)
    found = pricing.priced(lister, board, 0, worth, (below, np.inf))
    assert found.floor_cost == pytest.approx(min([below, *every]))
    gainful = {
        i
        for i, cost in zip(lister.candidates(0).number, lister.candidates(0).cost, strict=True)
        if worth[i] > cost
    }
    for order, net in zip(found.routes.order, found.net, strict=True):
        assert {int(i) for i in order if i >= 0} <= gainful
        assert net < below
    nets = [net for net in every if net < below]
    assert sorted(found.net.tolist())[:1] == pytest.approx(nets[:1])


def worths(problem, seed: int, factor: float):
    board = Board(problem)
    rng = np.random.default_rng(seed)
    length = np.array([visit.duration_min for visit in board.visits])
    return board, length * rng.uniform(0, 10, len(length)) * factor


def test_few_followed_routes_leave_a_true_floor(monkeypatch):
    monkeypatch.setattr(pricing, "MOST_FOLLOWED", 3)
    shape = boards.Shape(crews=1, days=1, visits=12, load_share=0.4)
    for seed in range(20):
        board, worth = worths(boards.random_problem(seed, shape), seed, 2.0)
        lister = Lister(board)
        found = pricing.priced(lister, board, 0, worth, (0.0, 300.0))
        assert found.floor_cost <= min([0.0, *by_listing(lister, 0, worth)]) + 1e-6


def test_the_band_keeps_only_what_is_near_the_best():
    board, worth = worths(boards.random_problem(4), 4, 2.0)
    found = pricing.priced(Lister(board), board, 0, worth, (0.0, 900.0))
    assert len(found.net) > 1
    assert found.net.max() < found.net.min() + 900.0
