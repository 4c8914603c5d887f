"""Drives through rush hours: by hand, and against a clock followed minute by minute."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Traffic, evaluate
from crewjobs.domain.scheduling.board import Board, clock
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import crew_day, visit

SLOW_MORNING = Traffic(steps=((0, 100), (480, 50), (540, 100)))
traffics = st.lists(
    st.tuples(st.integers(1, 1439), st.integers(10, 200)), max_size=5, unique_by=lambda s: s[0]
).map(lambda steps: Traffic(steps=((0, 80), *sorted(steps))))


def board(traffic: Traffic, **fields) -> Board:
    return Board(boards.problem([crew_day(**fields)], [visit(x=10)], traffic=traffic))


def test_a_slow_hour_doubles_the_drive_in_it_and_no_more():
    at = board(SLOW_MORNING)
    # 60 minutes at half the speed are 30 of the drive; the other 10 take 10.
    assert at.arrives(0, 480, 40) == 550
    assert at.arrives(0, 470, 10) == 480
    assert at.arrives(0, 530, 10) == 545
    assert at.arrives(0, 600, 40) == 640
    assert at.arrives(0, 500, 0) == 500


def test_the_drive_is_slow_and_its_price_is_the_usual_one():
    at = board(SLOW_MORNING)
    stop = evaluate.placements(at, {0: (0,)})[0]
    assert (stop.start_min, stop.drive_min) == (500, 20)
    assert evaluate.breakdown(at, {0: (0,)}).drive == 10 * 20


@settings(max_examples=80, deadline=None)
@given(traffics, st.integers(0, 1400), st.integers(0, 200), st.booleans())
def test_arrivals_are_those_of_a_clock_followed_minute_by_minute(traffic, leaves, drive, rests):
    at = board(traffic, pause=boards.pause(720, 750) if rests else None)
    now, left = leaves, 100 * drive
    while left > 0:
        left -= traffic.percent(clock(at.crew_days[0], now))
        now += 1
    assert at.arrives(0, leaves, drive) == now
    assert at.arrivals(0, np.array([leaves]), np.array([drive])).tolist() == [now]


@settings(max_examples=80, deadline=None)
@given(traffics, st.integers(0, 1400), st.integers(0, 60), st.integers(0, 120), st.integers(0, 30))
def test_who_leaves_later_or_drives_longer_never_arrives_earlier(
    traffic, leaves, wait, drive, more
):
    at = board(traffic)
    assert at.arrives(0, leaves, drive) <= at.arrives(0, leaves + wait, drive)
    assert at.arrives(0, leaves, drive) <= at.arrives(0, leaves, drive + more)


@settings(max_examples=80, deadline=None)
@given(traffics, st.integers(0, 200))
def test_the_last_minute_to_leave_is_the_last_that_arrives_in_time(traffic, drive):
    at = board(traffic)
    last = int(at.leaves_by(0, np.array([drive]))[0])
    assert at.arrives(0, last, drive) <= at.latest_end[0] < at.arrives(0, last + 1, drive)
