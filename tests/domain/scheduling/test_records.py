"""Problems and plans written down and read back."""

import json
from dataclasses import replace

import pytest

from crewjobs.domain.scheduling import (
    GreatCircle,
    Problem,
    Schedule,
    after_iterations,
    records,
    solve,
    territory,
)
from crewjobs.domain.scheduling.territory import Part
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape


@pytest.mark.parametrize("seed", range(6))
def test_what_was_written_is_read_back_equal(seed):
    problem = boards.random_problem(seed, Shape(crews=3, days=4, visits=12, afters=2))
    plan = solve(problem, seed=1, stop=after_iterations(5))
    told = boards.published(problem, plan)
    told = replace(told, travel=GreatCircle(speed_kmh=31.5))
    assert records.from_text(Problem, records.to_text(told)) == told
    assert records.from_text(Schedule, records.to_text(plan)) == plan
    for part in territory.first_cut(told, seed=1, most_crew_days=4):
        assert records.from_text(Part, records.to_text(part)) == part


def test_another_format_is_refused():
    text = records.to_text(Schedule()).replace('"format": 1', '"format": 0')
    with pytest.raises(ValueError, match="not of format 1"):
        records.from_text(Schedule, text)
    assert json.loads(text)["format"] == 0
