"""Scheduling tasks, apart from what the tasks are."""

from itertools import permutations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.hours.network import Network, Task, Timeline, chain_minutes, schedule


def task(name: str, minutes: float, *after: int, hands: int = 1) -> Task:
    return Task(name=name, demand=(hands,), minutes={name: minutes}, after=after)


def network(*tasks: Task, hands: int = 2) -> Network:
    return Network(tasks=tasks, capacity=(hands,))


def random_network(rng: Random, tasks: int = 5, resources: int = 2) -> Network:
    capacity = tuple(rng.randint(1, 4) for _ in range(resources))
    return Network(
        tasks=tuple(
            Task(
                name=str(place),
                demand=tuple(rng.randint(0, most) for most in capacity),
                minutes={rng.choice("ab"): rng.randint(0, 5), "c": rng.randint(0, 2)},
                after=tuple(sorted(rng.sample(range(place), rng.randint(0, min(2, place))))),
            )
            for place in range(tasks)
        ),
        capacity=capacity,
    )


def faults(net: Network, line: Timeline) -> list[str]:
    """What is wrong with a timeline of whole minutes, looked at minute by minute."""
    found = [
        f"{earlier} before {place}"
        for place, each in enumerate(net.tasks)
        for earlier in each.after
        if line.ends_min[earlier] > line.starts_min[place]
    ]
    for minute in range(int(line.makespan_min)):
        busy = [
            each.demand
            for place, each in enumerate(net.tasks)
            if line.starts_min[place] <= minute < line.ends_min[place]
        ]
        used = [sum(demand) for demand in zip(*busy, strict=True)]
        found += [f"minute {minute}" for u, c in zip(used, net.capacity, strict=False) if u > c]
    return found


def shortest_by_trying_all(net: Network) -> int:
    """The optimum: every order, each task at the first whole minute that is free for it."""
    spans = [int(span) for span in net.durations_min()]
    best = sum(spans)
    for order in permutations(range(len(spans))):
        ends: dict[int, int] = {}
        used: dict[tuple[int, int], int] = {}
        for place in order:
            if not set(net.tasks[place].after) <= ends.keys():
                break
            start = max((ends[earlier] for earlier in net.tasks[place].after), default=0)
            asks = tuple(enumerate(net.tasks[place].demand))
            while any(
                used.get((resource, minute), 0) + amount > net.capacity[resource]
                for minute in range(start, start + spans[place])
                for resource, amount in asks
            ):
                start += 1
            for minute in range(start, start + spans[place]):
                for resource, amount in asks:
                    used[resource, minute] = used.get((resource, minute), 0) + amount
            ends[place] = start + spans[place]
        else:
            best = min(best, max(ends.values(), default=0))
    return best


def test_waiting_is_filled_with_other_work():
    line = schedule(
        network(
            task("bond", 10, hands=2),
            task("harden", 12, 0, hands=0),
            task("scrape", 5, 1),
            task("sink", 20, 0),
        )
    )
    assert line.starts_min == (0, 10, 22, 10)
    assert line.makespan_min == 30
    assert line.chain == (0, 3)


def test_the_longest_tail_goes_first():
    line = schedule(network(task("short", 1), task("long", 1), task("rest", 9, 1), hands=1))
    assert line.starts_min == (10, 0, 1)


def test_the_chain_tells_where_the_minutes_go():
    net = network(task("a", 4, hands=2), task("b", 3, 0), task("c", 8, 0))
    assert chain_minutes(net, schedule(net)) == {"a": 4, "c": 8}


def test_factors_lengthen_their_elements_only():
    net = network(task("a", 4, hands=2), task("b", 3, 0))
    factors = {"b": 2.0}
    line = schedule(net, factors)
    assert chain_minutes(net, line, factors) == {"a": 4, "b": 6}
    assert line.makespan_min == 10


def test_no_tasks_take_no_time():
    line = schedule(Network(tasks=(), capacity=(2,)))
    assert (line.makespan_min, line.chain) == (0, ())


@pytest.mark.parametrize(
    ("tasks", "word"),
    [
        ((task("a", 1, 1), task("b", 1, 0)), "circle"),
        ((task("a", 1, hands=3),), "asks for"),
        ((task("a", 1, hands=-1),), "asks for"),
        ((task("a", -1),), "negative"),
        ((task("a", float("nan")),), "unknown"),
        ((task("a", 1, 5),), "not there"),
        ((Task(name="a", demand=(1, 1), minutes={}),), "resources"),
    ],
)
def test_a_network_that_cannot_be_worked_is_refused(tasks, word):
    with pytest.raises(ValueError, match=word):
        Network(tasks=tasks, capacity=(2,))


def test_small_networks_come_close_to_the_best_of_all_orders():
    nets = [random_network(Random(seed)) for seed in range(150)]
    pairs = [(schedule(net).makespan_min, shortest_by_trying_all(net)) for net in nets]
    assert all(found >= best for found, best in pairs)
    assert sum(found for found, _ in pairs) <= 1.02 * sum(best for _, best in pairs)
    assert sum(found == best for found, best in pairs) >= 0.9 * len(pairs)


@given(st.randoms(use_true_random=False), st.integers(0, 25))
@settings(max_examples=150, deadline=None)
def test_no_task_starts_before_its_time_or_without_people(rng, tasks):
    net = random_network(rng, tasks)
    assert faults(net, schedule(net)) == []


@given(st.randoms(use_true_random=False), st.integers(0, 25))
@settings(max_examples=150, deadline=None)
def test_the_chain_has_no_gap_and_adds_up_to_the_whole(rng, tasks):
    net = random_network(rng, tasks)
    line = schedule(net)
    ends = [0.0, *(line.ends_min[place] for place in line.chain)]
    assert ends[:-1] == [line.starts_min[place] for place in line.chain]
    assert sum(chain_minutes(net, line).values()) == line.makespan_min


@given(st.randoms(use_true_random=False), st.sampled_from("abc"))
@settings(max_examples=100, deadline=None)
def test_with_assumed_durations_longer_tasks_never_shorten_the_whole(rng, element):
    net = random_network(rng, 20)
    assumed = [net.durations_min()]
    usual, slow = (schedule(net, {element: factor}, assumed=assumed) for factor in (1.0, 1.5))
    assert slow.makespan_min >= usual.makespan_min
