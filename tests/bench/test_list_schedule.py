from statistics import mean

import pytest

from tests.bench import list_schedule, rcpsp


@pytest.mark.bench
def test_list_scheduling_stays_within_its_goal_of_known_optima(capsys):
    if not rcpsp.folder().is_dir():
        pytest.skip(f"NO SCHEDULING INSTANCES: set {rcpsp.DATA} to a folder that holds rcpsp/j30")
    gaps = rcpsp.gaps()
    with capsys.disabled():
        print(f"\n{list_schedule.line(gaps)}")
    assert min(gaps.values()) >= 0
    assert mean(gaps.values()) <= list_schedule.GOAL_SHARE
