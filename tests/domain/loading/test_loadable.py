from dataclasses import replace
from random import Random

import pytest

from crewjobs.domain.loading import Costs, Frame, is_loadable, plan
from crewjobs.domain.loading.loadable import any_way
from crewjobs.domain.loading.stacks import Stacks
from tests.domain.loading.days import ROOMY, random_day, random_frame
from tests.domain.loading.judge import judge


@pytest.mark.parametrize("seed", range(20))
def test_a_day_is_loadable_where_the_cheapest_plan_breaks_no_rule(seed) -> None:
    rng = Random(seed)
    for _ in range(20):
        items, frame = random_day(rng, rng.randint(1, 8), rng.randint(1, 4)), random_frame(rng)
        assert is_loadable(items, frame) is plan(items, frame).is_feasible


@pytest.mark.parametrize("seed", range(6))
def test_a_way_that_is_found_breaks_no_rule(seed) -> None:
    """Twelve pieces, so that a stack has many ways to lean; the overhang limit forbids most."""
    rng = Random(seed)
    items = random_day(rng, 12, 3)
    stacks = Stacks(items, replace(ROOMY, most_overhang_mm=rng.choice((0, 100, 200))), Costs())
    sides = any_way(stacks)
    assert sides is None or stacks.total_min(*sides) < 1e5
    assert (sides is None) is (not plan(items, stacks.frame).is_feasible)


def test_names_are_of_no_matter_and_an_empty_truck_is_loadable() -> None:
    assert is_loadable([], Frame())
    items = random_day(Random(1), 6)
    other = [replace(item, name=f"other {n}") for n, item in enumerate(reversed(items))]
    assert is_loadable(items, ROOMY) is is_loadable(other, ROOMY)


def test_many_pieces_are_searched_and_the_plan_is_never_worse_than_the_way_that_is_known() -> None:
    """Eighteen pieces on a frame that is just thick enough."""
    items = random_day(Random(7), 18, 3)
    thick = sum(item.thickness_mm + ROOMY.pad_mm for item in items)
    frame = replace(ROOMY, depth_mm=thick / 2 + 15, most_imbalance_kg=150)
    assert is_loadable(items, frame)
    found = plan(items, frame, iterations=300)
    assert found.is_feasible
    assert not judge(found, items, frame).problems
    assert not is_loadable(items, replace(frame, depth_mm=thick / 2 - 1))


def test_more_than_twenty_pieces_are_only_searched() -> None:
    items = random_day(Random(2), 22, 3)
    assert is_loadable(items, ROOMY)
    assert not is_loadable(items, replace(ROOMY, depth_mm=100))
