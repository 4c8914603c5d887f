"""Chances by hand and by closed form, and the planning share against another way to find it."""

from dataclasses import replace
from math import exp, log
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Schedule, Slot, Window, after_iterations, solve
from crewjobs.domain.scheduling.risk import P80_DEVIATES, Hours, chances, planning_share
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, visit

ERROR = 0.05
"""Four standard errors of a chance simulated a thousand times."""


def planned(problem) -> Schedule:
    return solve(problem, seed=1, stop=after_iterations(20))


def normal_share(minutes: float, hours: Hours) -> float:
    """The chance that a log-normal visit takes no longer."""
    spread = log(hours.p80_min / hours.p50_min) / P80_DEVIATES
    return NormalDist().cdf(log(minutes / hours.p50_min) / spread)


def day_of(*visits, **fields):
    problem = boards.problem([crew_day(pause=None, **fields)], visits)
    plan = planned(problem)
    assert len(plan.placed) == len(visits)
    return chances(problem, plan, seed=3)[0]


def test_one_visit_has_the_chance_of_its_distribution():
    hours = Hours(p50_min=200, p80_min=300)
    one = day_of(visit(duration_min=200, p50_min=200, p80_min=300), shift_end_min=480 + 300)
    # The drives take 20 minutes: 280 are left.
    assert one.in_shift_share == pytest.approx(normal_share(280, hours), abs=ERROR)
    assert one.in_limit_share == pytest.approx(normal_share(340, hours), abs=ERROR)
    assert one.end_p50_min == pytest.approx(480 + 20 + 200, abs=10)
    assert one.planned_end_min == 480 + 20 + 200


def test_a_window_is_met_when_the_visit_before_is_short_enough():
    first = (Window(day=day(0), latest_min=500),)
    before = visit("before", 10, duration_min=100, p50_min=100, p80_min=150, windows=first)
    window = (Window(day=day(0), earliest_min=600, latest_min=625),)
    last = visit("last", 10, duration_min=30, windows=window)
    stop = day_of(before, last).stops[1]
    # There at 8:10; by 10:25 are 135 minutes.
    expected = normal_share(135, Hours(p50_min=100, p80_min=150))
    assert stop.in_window_share == pytest.approx(expected, abs=ERROR)
    assert stop.start_p80_min == pytest.approx(490 + 150, abs=10)


def test_what_has_no_percentiles_takes_what_is_planned():
    sure = day_of(visit(duration_min=300))
    assert sure.in_shift_share == 1.0
    assert sure.end_p50_min == sure.end_p80_min == sure.planned_end_min == 800
    assert sure.stops[0].in_window_share == 1.0


def test_a_crew_that_is_early_waits_for_the_window_and_for_what_was_told():
    early = visit("early", 10, duration_min=200, p50_min=50, p80_min=60)
    told = visit("told", 10, promise=Slot(crew="A", day=day(0), start_min=700))
    assert day_of(early, told).stops[1].start_p80_min == 670
    window = (Window(day=day(0), earliest_min=690, latest_min=710),)
    opened = replace(told, promise=None, windows=window)
    assert day_of(early, opened).stops[1].start_p80_min == 690


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_the_same_seed_gives_the_same_chances_and_all_are_chances(seed):
    problem = boards.everything(
        boards.random_problem(seed, Shape(crews=2, days=2, visits=10)), seed
    )
    visits = tuple(
        replace(each, p50_min=each.duration_min, p80_min=round(each.duration_min * 1.4))
        for each in problem.visits
    )
    problem = replace(problem, visits=visits)
    plan = planned(problem)
    found = chances(problem, plan, seed=seed, draws=50)
    assert found == chances(problem, plan, seed=seed, draws=50)
    assert {(each.crew, each.day) for each in found} == {(s.crew, s.day) for s in plan.placed}
    for each in found:
        assert 0 <= each.in_shift_share <= each.in_limit_share <= 1
        assert each.end_p50_min <= each.end_p80_min
        assert all(0 <= stop.in_window_share <= 1 for stop in each.stops)


@settings(max_examples=10, deadline=None)
@given(more=st.integers(1, 60))
def test_more_work_never_makes_a_day_surer(more):
    first = visit("a", 10, duration_min=100, p50_min=100, p80_min=140)
    last = visit("b", 12, duration_min=200, p50_min=200, p80_min=260)
    longer = replace(last, p50_min=200 + more, p80_min=260 + 2 * more)
    short, long = (day_of(first, each, shift_end_min=860) for each in (last, longer))
    assert long.in_shift_share <= short.in_shift_share


@pytest.mark.parametrize("wanted_share", [0.5, 0.6, 0.7, 0.8])
def test_days_of_one_visit_are_planned_at_the_percentile_itself(wanted_share):
    hours = Hours(p50_min=100, p80_min=150)
    found = planning_share([[hours]], wanted_share=wanted_share, seed=1, draws=20_000)
    spread = log(1.5) / P80_DEVIATES
    expected = (100 * exp(spread * NormalDist().inv_cdf(wanted_share)) - 100) / 50
    assert found.share == pytest.approx(expected, abs=0.03)
    assert found.simulated_share == pytest.approx(wanted_share, abs=0.015)


def test_days_of_many_visits_need_less_than_each_visits_own_percentile():
    hours = Hours(p50_min=60, p80_min=80)
    shares = [
        planning_share([[hours] * n], wanted_share=0.8, seed=1, draws=20_000).share
        for n in (1, 3, 6)
    ]
    assert shares == sorted(shares, reverse=True)
    assert shares[2] < 0.8
    assert planning_share([[hours] * 6], wanted_share=0.8, seed=1).planned_at_p80_share > 0.85


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.lists(st.tuples(st.integers(20, 200), st.floats(1.05, 2)), min_size=1, max_size=5),
        min_size=1,
        max_size=8,
    ),
    st.floats(0.5, 0.9),
)
def test_the_share_is_the_smallest_that_reaches_what_is_wanted(days, wanted_share):
    hours = [[Hours(p50_min=p, p80_min=p * f) for p, f in each] for each in days]
    found = planning_share(hours, wanted_share=wanted_share, seed=5, draws=400)
    # The same draws, held against a grid of shares.
    rng = np.random.default_rng((5, 0))
    sums = [np.sum([h.drawn_min(rng.standard_normal(400)) for h in each], axis=0) for each in hours]
    grid = np.linspace(0, 1, 201)
    on_time = [
        np.mean([np.mean(s <= sum(h.planned_min(b) for h in d) + 1e-9)
                 for s, d in zip(sums, hours, strict=True)])
        for b in grid
    ]  # fmt: skip
    first = next((b for b, share in zip(grid, on_time, strict=True) if share >= wanted_share), 1.0)
    assert found.share == pytest.approx(first, abs=0.007)


def test_hours_out_of_order_are_refused():
    with pytest.raises(ValueError, match="p80_min"):
        Hours(p50_min=100, p80_min=90)
    with pytest.raises(ValueError, match="days"):
        planning_share([], wanted_share=0.8, seed=1)
    assert Hours(p50_min=0, p80_min=9).drawn_min(np.zeros(2)).tolist() == [9, 9]
