"""A worker notices that the clock on the wall was set."""

from datetime import timedelta

import pytest

from crewjobs.management.commands.work import Clocks
from tests.rows import NOW


@pytest.mark.parametrize(
    ("wall_min", "steady_min", "jump_min"),
    [
        (1, 1, None),
        (600, 600, None),
        (6, 1, None),
        (6.1, 1, 5.1),
        (121, 1, 120),
        (-119, 1, -120),
        (-4, 1, None),
    ],
)
def test_more_than_five_minutes_astray_is_a_jump(wall_min, steady_min, jump_min) -> None:
    clocks = Clocks(NOW, 0.0)
    jump = clocks.jump(NOW + timedelta(minutes=wall_min), steady_min * 60)
    assert jump == (None if jump_min is None else timedelta(minutes=jump_min))
    assert clocks.jump(NOW + timedelta(minutes=wall_min + 1), steady_min * 60 + 60) is None
