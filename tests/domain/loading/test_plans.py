from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from crewjobs.domain.loading import Costs, Frame, Item, annealing, exact, item_of, plan
from crewjobs.domain.loading.plans import Facing
from crewjobs.domain.loading.stacks import Stacks
from tests import make
from tests.domain.loading.days import ROOMY, random_day, random_frame
from tests.domain.loading.judge import judge


def item(name="A", length=2400.0, stop=1, **fields) -> Item:
    sizes = {"height_mm": 648, "thickness_mm": 30, "mass_kg": length * 0.0467}
    return Item(name=name, length_mm=length, stop=stop, **(sizes | fields))


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_is_called_feasible_that_the_judge_rejects(seed) -> None:
    """25 random days each, on frames from generous to far too small; the bench takes more."""
    rng = Random(seed)
    for _ in range(25):
        items, frame = random_day(rng, rng.randint(1, 8), rng.randint(1, 4)), random_frame(rng)
        found = plan(items, frame)
        judged = judge(found, items, frame)
        assert found.is_feasible is not bool(judged.problems), (found.problems, judged.problems)
        assert found.rehandles == judged.rehandles
        places = found.left + found.right
        assert sum(place.is_set_aside for place in places) == judged.set_asides


@pytest.mark.parametrize("seed", range(12))
def test_the_plan_is_as_cheap_as_any_order_and_split(seed) -> None:
    rng = Random(seed)
    items = random_day(rng, rng.randint(1, 6))
    frame, costs = replace(random_frame(rng), depth_mm=200), Costs(overhang_per_m=20)
    stacks = Stacks(items, frame, costs)
    least = min(
        stacks.total_min(order[:cut], order[cut:])
        for order in permutations(range(len(items)))
        for cut in range(len(items) + 1)
    )
    assert plan(items, frame, costs).cost_min == pytest.approx(least)


@pytest.mark.parametrize("seed", range(4))
def test_annealing_comes_within_a_tenth_of_the_exact_plan(seed) -> None:
    stacks = Stacks(random_day(Random(seed), 10), ROOMY, Costs())
    best = stacks.total_min(*exact.cheapest(stacks))
    found = stacks.total_min(*annealing.search(stacks, seed=seed, iterations=6_000))
    assert best - 1e-9 <= found <= 1.1 * best + 0.5


def test_more_than_sixteen_pieces_are_searched_and_judged() -> None:
    items = random_day(Random(3), 20, 4)
    found = plan(items, ROOMY, iterations=3_000)
    assert not found.is_exact
    assert found == plan(items, ROOMY, iterations=3_000)
    assert found.is_feasible is not bool(judge(found, items, ROOMY).problems)


def test_one_stop_needs_no_rehandling_and_puts_the_big_ones_inside() -> None:
    items = [item(f"P{n}", length=700.0 + 500 * n, mass_kg=50) for n in range(4)]
    found = plan(items, Frame(free_overhang_mm=0))
    assert found.rehandles == 0
    for side in (found.left, found.right):
        lengths = [place.item.length_mm for place in side]
        assert lengths == sorted(lengths, reverse=True)


def test_equal_pieces_come_off_in_the_order_of_the_stops() -> None:
    found = plan([item(f"P{n}", length=1000, stop=n) for n in range(1, 7)])
    for side in (found.left, found.right):
        stops = [place.item.stop for place in side]
        assert stops == sorted(stops, reverse=True)
    assert found.rehandles == 0


def test_what_is_set_first_at_a_stop_comes_off_first() -> None:
    items = [item(f"P{n}", length=1000, order=n) for n in range(6)]
    found = plan(items)
    assert not any(place.is_set_aside for place in found.left + found.right)
    for side in (found.left, found.right):
        orders = [place.item.order for place in side]
        assert orders == sorted(orders, reverse=True)


def test_a_stricter_overhang_rule_is_paid_for_in_rehandles() -> None:
    """A small piece for the last stop should stand inside, and a large one may not lean on it."""
    sizes = (("small", 700, 2), ("large", 2400, 1), ("other", 2400, 1), ("more", 700, 2))
    items = [item(name, length, stop=stop, mass_kg=30) for name, length, stop in sizes]
    loose, strict = (
        plan(items, Frame(most_overhang_mm=limit, most_imbalance_kg=5, free_overhang_mm=900))
        for limit in (900, 300)
    )
    assert loose.is_feasible
    assert strict.is_feasible
    assert loose.rehandles == 0
    assert strict.rehandles > 0


@pytest.mark.parametrize(
    ("fields", "frame", "said"),
    [
        ({}, Frame(payload_kg=100), "the load 112 kg, the most is 100"),
        ({}, Frame(length_mm=2000), "A is long 2400 mm, the most is 2000"),
        ({}, Frame(height_mm=600), "A is high 648 mm, the most is 600"),
        ({}, Frame(depth_mm=40), "stack is thick 42 mm, the most is 40"),
        ({}, Frame(side_kg=90), "side bears 112 kg, the most is 90"),
        ({"mass_kg": 400}, Frame(), "the sides differ on departure by 400 kg, the most is 350"),
    ],
)
def test_what_cannot_be_kept_is_named_and_still_planned(fields, frame, said) -> None:
    found = plan([item(**fields)], frame)
    assert len(found.left + found.right) == 1
    assert said in "; ".join(problem.message for problem in found.problems)
    assert not found.is_feasible


def test_nothing_leans_on_a_strip_that_holds_it_below_its_middle() -> None:
    """Balance puts a strip on each side; it is wanted later, yet it stands before the top."""
    strips = [item(name, 2400, stop=2, height_mm=100, mass_kg=10) for name in ("x", "y")]
    tops = [item(name, 2400, stop=1) for name in ("a", "b")]
    frame = Frame(most_overhang_mm=900, most_imbalance_kg=15)
    found = plan([*strips, *tops], frame)
    assert found.is_feasible
    assert [side[1].item.height_mm for side in (found.left, found.right)] == [100, 100]
    assert found.rehandles == 2
    low = replace(tops[0], height_mm=201)
    assert plan([*strips, low, tops[1]], frame).rehandles == 2
    assert plan([*strips, replace(low, height_mm=200), tops[1]], frame).rehandles == 1


def test_balance_is_kept_after_every_stop() -> None:
    items = [item(f"P{n}", mass_kg=200, stop=1 + n // 2) for n in range(4)]
    found = plan(items, Frame(most_imbalance_kg=50))
    assert found.is_feasible
    assert found.imbalance_kg == (0, 0)


def test_faces_alternate_and_the_weak_rail_is_above() -> None:
    found = plan([item(f"P{n}", length=1000, low_rail_mm=60, high_rail_mm=100) for n in range(5)])
    for side in (found.left, found.right):
        assert [p.facing for p in side] == [Facing.IN if n % 2 else Facing.OUT
                                            for n in range(len(side))]  # fmt: skip
        assert all(place.item.is_turned_over for place in side)


def test_names_and_the_order_of_the_list_change_nothing() -> None:
    items = random_day(Random(5), 8)
    other = [replace(each, name=f"Q{n}") for n, each in enumerate(reversed(items))]
    assert plan(other, ROOMY).cost_min == pytest.approx(plan(items, ROOMY).cost_min)


def test_an_empty_truck_is_a_plan() -> None:
    assert plan([]).is_feasible


def test_two_items_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="same name"):
        plan([item(), item()])


def test_a_piece_stands_on_its_longer_side_with_its_rails_known() -> None:
    sink = make.sink(x_mm=1220, y_mm=290)
    top = item_of(make.piece(cutouts=(sink,)), stop=2, order=1)
    assert (top.length_mm, top.height_mm, top.stop, top.order) == (2440, 650, 2, 1)
    assert (top.low_rail_mm, top.high_rail_mm) == (80, 150)
    assert top.is_turned_over
    assert item_of(make.piece(), stop=1).low_rail_mm is None


def test_half_a_pair_of_rails_is_refused() -> None:
    with pytest.raises(ValueError, match="one rail"):
        item(low_rail_mm=60)
