"""The search beside a judge that moves the strip along the found poses, and a search that hopes."""

from itertools import pairwise
from math import pi
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.access import search, shapes
from crewjobs.domain.access.search import SideRoom, longest_mm, way
from tests.domain.access import walls

WIDE_MM = 110.0
SMALL = SideRoom(hall_mm=914, run_mm=4000, door_mm=813, wall_mm=120, room_mm=2500, beyond_mm=2500)


def rooms(rng: Random) -> SideRoom:
    return SideRoom(
        hall_mm=rng.uniform(800, 1300), run_mm=rng.uniform(2500, 5000),
        door_mm=rng.uniform(650, 1000), wall_mm=rng.uniform(80, 250),
        room_mm=rng.uniform(1000, 4000), beyond_mm=rng.uniform(0, 3000),
    )  # fmt: skip


def standing(room: SideRoom) -> list[walls.Array]:
    far = walls.FAR_MM
    return [walls.box(*np.clip(box, -far, far)) for box in room.boxes()]


def collides(room: SideRoom, long: float, wide: float, poses) -> bool:
    """Whether a strip that goes from pose to pose, a millimetre or so at a time, hits a wall."""
    ends = np.array(poses)
    fine = [
        np.linspace(here, there, 2 + int(np.abs(there - here)[:2].max()))
        for here, there in pairwise(ends)
    ]
    return walls.any_hit(np.concatenate(fine), long, wide, standing(room))


def is_in_the_room(room: SideRoom, long: float, wide: float, pose) -> bool:
    x, y, turn = pose
    broad = (long * abs(np.cos(turn)) + wide * abs(np.sin(turn))) / 2
    tall = (long * abs(np.sin(turn)) + wide * abs(np.cos(turn))) / 2
    return bool(
        x - broad >= 0 and x + broad <= room.door_mm + room.beyond_mm
        and y - tall >= room.top_mm and y + tall <= room.top_mm + room.room_mm
    )  # fmt: skip


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6), share=st.floats(0.5, 1.3), wide=st.floats(40, 250))
def test_no_way_that_is_found_touches_a_wall(seed, share, wide) -> None:
    room = rooms(Random(seed))
    long = share * shapes.corner_mm(room.hall_mm, room.door_mm, wide)
    if poses := way(room, long, wide):
        assert not collides(room, long, wide, poses)
        assert is_in_the_room(room, long, wide, poses[-1])
        assert abs(poses[0][2]) < pi / 180


@pytest.mark.parametrize(
    ("room", "least_mm"),
    [
        (SMALL, 3300),
        (SideRoom(hall_mm=914, run_mm=5000, door_mm=762, wall_mm=120, room_mm=3500,
                  beyond_mm=500), 2700),
    ],
)  # fmt: skip
def test_a_small_room_admits_far_more_than_a_corner(room, least_mm) -> None:
    found = longest_mm(room, WIDE_MM)
    assert found >= least_mm
    assert found > 1.2 * shapes.corner_mm(room.hall_mm, room.door_mm, WIDE_MM)
    assert not collides(room, found, WIDE_MM, way(room, found, WIDE_MM))


def test_nothing_longer_than_the_room_or_the_run_is_found() -> None:
    assert longest_mm(SideRoom(**{**fields(SMALL), "run_mm": 1500}), WIDE_MM) <= 1500
    tiny = SideRoom(**{**fields(SMALL), "room_mm": 900.0, "beyond_mm": 0.0})
    assert longest_mm(tiny, WIDE_MM) <= np.hypot(813, 900)
    assert longest_mm(SMALL, 820) == 0


def test_the_same_door_has_the_same_fingerprint_and_another_has_another() -> None:
    assert SMALL.fingerprint(110) == SideRoom(**fields(SMALL)).fingerprint(110.0)
    others = {SideRoom(**{**fields(SMALL), name: 1234}).fingerprint(110) for name in fields(SMALL)}
    assert len(others | {SMALL.fingerprint(110), SMALL.fingerprint(111)}) == 8


def fields(room: SideRoom) -> dict[str, float]:
    return {name: getattr(room, name) for name in room.__dataclass_fields__}


class Hopeful(search._Cells):
    """The same cells with the strip shrunk by its motion: what this does not find, nothing does."""

    def _grown(self):
        shrink = np.sin(search.TURN_RAD / 2)
        return self.half[0] - self.half[1] * shrink, self.half[1] - self.half[0] * shrink

    def _blocked(self, box, along_mm, across_mm):
        left, right, low, high = box
        kept = []
        for side in (-search.STEP_MM / 2, search.STEP_MM / 2):
            first, last = left - self.places - side, right - self.places - side
            kept.append([
                self._above(first, last, along_mm, across_mm),
                self._above(-last, -first, along_mm, across_mm),
            ])  # fmt: skip
        above, below = (np.minimum(*ends) for ends in zip(*kept, strict=True))
        hits = np.isfinite(above) & np.isfinite(below)
        start, end = low - np.where(hits, above, 0), high + np.where(hits, below, 0)
        return np.where(hits, start, np.inf), np.where(hits, end, -np.inf)


def test_little_is_lost_to_the_cells() -> None:
    found = longest_mm(SMALL, WIDE_MM)
    assert Hopeful(SMALL, found, WIDE_MM).way()
    assert not Hopeful(SMALL, found / 0.9, WIDE_MM).way()
