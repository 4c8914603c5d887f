"""Shorter orders of work: against every order there is, and never longer than a list's."""

from random import Random

import pytest

from crewjobs.domain.hours import order_proof
from crewjobs.domain.hours.network import Network, schedule
from crewjobs.domain.hours.order_search import Effort, shortest_found
from tests.domain.hours.test_network import (
    faults,
    network,
    random_network,
    shortest_by_trying_all,
    task,
)

SEARCH_ALONE = Effort(orders=150, proof_s=0)
PROOF_ALONE = Effort(orders=0, proof_s=1)


@pytest.mark.parametrize("effort", [SEARCH_ALONE, PROOF_ALONE], ids=["search", "proof"])
@pytest.mark.parametrize("seed", range(25))
def test_it_finds_the_shortest_of_all_orders(seed, effort):
    if effort is PROOF_ALONE and not order_proof.IS_INSTALLED:
        pytest.skip("NO EXACT SOLVER: install the extra onsite")
    net = random_network(Random(seed), tasks=6)
    line = shortest_found(net, effort=effort)
    assert line.makespan_min == shortest_by_trying_all(net)
    assert faults(net, line) == []


@pytest.mark.parametrize("seed", range(12))
def test_it_is_never_longer_than_a_list_and_the_same_each_time(seed):
    net = random_network(Random(seed), tasks=20, resources=1)
    line = shortest_found(net, seed=seed, effort=Effort(orders=40, proof_s=0.01))
    assert line.makespan_min <= schedule(net).makespan_min
    assert faults(net, line) == []
    assert shortest_found(net, seed=seed, effort=Effort(orders=40, proof_s=0.01)) == line


def test_factors_and_broken_minutes_count():
    net = network(task("a", 1 / 3), task("b", 1 / 3), task("c", 2 / 3), hands=2)
    line = shortest_found(net, {"c": 3.0}, effort=SEARCH_ALONE)
    assert line.makespan_min == pytest.approx(2)


def test_no_tasks_take_no_time():
    assert shortest_found(Network(tasks=(), capacity=(2,))).makespan_min == 0
