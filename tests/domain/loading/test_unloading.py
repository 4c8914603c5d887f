from random import Random

import pytest

from crewjobs.domain.loading import Frame, Item, plan
from crewjobs.domain.loading.unloading import Where, loading, unloading
from tests.domain.loading.days import random_day, random_frame


def item(name, stop, length=2400.0, order=0, height=650.0) -> Item:
    return Item(
        name=name, stop=stop, length_mm=length, height_mm=height, thickness_mm=30, mass_kg=40,
        order=order,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(15))
def test_every_piece_goes_on_once_and_comes_off_once_at_its_stop(seed) -> None:
    rng = Random(seed)
    items = random_day(rng, rng.randint(1, 9), rng.randint(1, 4))
    found = plan(items, random_frame(rng))
    names = sorted(each.name for each in items)
    assert sorted(step.item.name for step in loading(found)) == names
    stops = unloading(found)
    off = [(stop, s.item) for stop, steps in stops.items() for s in steps if not s.goes_back]
    assert sorted(each.name for _, each in off) == names
    assert all(each.stop == stop for stop, each in off)
    back = [step for steps in stops.values() for step in steps if step.goes_back]
    assert len(back) == found.rehandles


@pytest.mark.parametrize("seed", range(15))
def test_nothing_is_reached_through_another_piece(seed) -> None:
    """Replayed on two stacks: only the outermost is ever touched."""
    rng = Random(seed)
    found = plan(random_day(rng, rng.randint(1, 9), 3), random_frame(rng))
    stacks: dict[Where, list[str]] = {Where.LEFT: [], Where.RIGHT: [], Where.RACK: []}
    for step in loading(found):
        stacks[step.where].append(step.item.name)
        assert len(stacks[step.where]) == step.number
    for steps in unloading(found).values():
        back = []
        for step in steps:
            stack = stacks[step.where]
            at = stack.index(step.item.name)
            assert step.where is Where.RACK or at == len(stack) - 1
            stack.pop(at)
            if step.goes_back:
                back.append(step)
        for step in reversed(back):
            stacks[step.where].append(step.item.name)
    assert not any(stacks.values())


def test_a_piece_in_the_way_is_taken_off_and_put_back() -> None:
    """Balance puts a large and a small one on each side, and a large one leans on no small one."""
    frame = Frame(most_overhang_mm=100, most_imbalance_kg=5)
    pieces = [item("small", 2, 700), item("large", 1), item("next", 1), item("last", 2, 700)]
    steps = unloading(plan(pieces, frame))
    assert sum(step.goes_back for step in steps[1]) == 2
    assert {step.item.name for step in steps[2]} == {"small", "last"}
    assert not any(step.goes_back for step in steps[2])


def test_low_pieces_stand_in_the_rack_as_far_as_it_bears_them() -> None:
    low = [item(f"splash {n}", 1 + n, 2000, height=100) for n in range(3)]
    frame = Frame(rack_height_mm=150, rack_kg=80)
    found = plan([*low, item("top", 1)], frame)
    assert [each.name for each in found.rack] == ["splash 0", "splash 1"]
    assert [step.where for step in unloading(found)[2]] == [Where.RACK]
    assert plan(low, Frame()).rack == ()
