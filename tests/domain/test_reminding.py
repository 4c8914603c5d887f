"""When a customer is told what, in every sort of zone and in both nights that change the clock."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.reminding import (
    QUIET_FROM,
    QUIET_UNTIL,
    MessageKind,
    arrival_window,
    out_of_quiet_hours,
    told_of_a_visit,
    two_days_before,
)

ZONES = (
    "America/Chicago",
    "Europe/Berlin",
    "Australia/Adelaide",  # half an hour off, southern
    "Australia/Lord_Howe",  # its clock changes by half an hour
    "Asia/Kathmandu",  # three quarters of an hour off
    "America/St_Johns",
    "Pacific/Auckland",
    "Pacific/Chatham",
    "America/Santiago",  # changes at midnight
    "UTC",
)
moments = st.datetimes(
    min_value=datetime(2025, 1, 1),  # noqa: DTZ001 - hypothesis wants it naive
    max_value=datetime(2030, 1, 1),  # noqa: DTZ001
    timezones=st.just(UTC),
)
zones = st.sampled_from(ZONES)


def local(zone: str, *parts: int) -> datetime:
    return datetime(*parts, tzinfo=ZoneInfo(zone))  # type: ignore[misc]


@pytest.mark.parametrize(
    ("zone", "start", "expected"),
    [
        # Clock goes forward 8 March 2026 at 2:00 (26 hours less one between 10:00 and 9:00).
        ("America/Chicago", (2026, 3, 9, 9), "2026-03-07T16:00"),
        ("America/Chicago", (2026, 3, 10, 9), "2026-03-08T15:00"),
        # and back 1 November 2026.
        ("America/Chicago", (2026, 11, 2, 9), "2026-10-31T15:00"),
        ("America/Chicago", (2026, 11, 3, 9), "2026-11-01T16:00"),
        ("Europe/Berlin", (2026, 3, 30, 8), "2026-03-28T09:00"),
        ("Europe/Berlin", (2026, 3, 31, 8), "2026-03-29T08:00"),
        ("Europe/Berlin", (2026, 10, 26, 8), "2026-10-24T08:00"),
        ("Europe/Berlin", (2026, 10, 27, 8), "2026-10-25T09:00"),
        # Southern: forward 4 October 2026, back 5 April 2026; +9:30 and +10:30.
        ("Australia/Adelaide", (2026, 10, 5, 8), "2026-10-03T00:30"),
        ("Australia/Adelaide", (2026, 10, 6, 8), "2026-10-03T23:30"),
        ("Australia/Adelaide", (2026, 4, 6, 8), "2026-04-03T23:30"),
        ("Australia/Adelaide", (2026, 4, 7, 8), "2026-04-05T00:30"),
        # +10:30 and +11:00.
        ("Australia/Lord_Howe", (2026, 10, 6, 8), "2026-10-03T23:00"),
        ("Australia/Lord_Howe", (2026, 4, 7, 8), "2026-04-04T23:30"),
        ("Asia/Kathmandu", (2026, 6, 3, 8), "2026-06-01T04:15"),
    ],
)
def test_the_reminder_is_at_ten_of_the_site_two_days_before(zone, start, expected) -> None:
    assert two_days_before(local(zone, *start), zone) == datetime.fromisoformat(f"{expected}+00:00")


@pytest.mark.parametrize(
    ("zone", "at", "expected"),
    [
        ("America/Chicago", (2026, 3, 7, 23), (2026, 3, 8, 8)),
        ("America/Chicago", (2026, 3, 8, 3, 30), (2026, 3, 8, 8)),
        ("America/Chicago", (2026, 11, 1, 1, 30), (2026, 11, 1, 8)),
        ("Australia/Lord_Howe", (2026, 4, 4, 20), (2026, 4, 5, 8)),
        ("America/Santiago", (2026, 9, 5, 22), (2026, 9, 6, 8)),
        ("Europe/Berlin", (2026, 12, 31, 20), (2027, 1, 1, 8)),
        ("Europe/Berlin", (2026, 6, 1, 7, 59), (2026, 6, 1, 8)),
        ("Europe/Berlin", (2026, 6, 1, 8), (2026, 6, 1, 8)),
        ("Europe/Berlin", (2026, 6, 1, 19, 59), (2026, 6, 1, 19, 59)),
    ],
)
def test_the_night_waits_for_eight_in_the_morning(zone, at, expected) -> None:
    assert out_of_quiet_hours(local(zone, *at), zone) == local(zone, *expected)


def test_both_hours_of_the_autumn_night_are_quiet() -> None:
    first = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    for at in (first, first + timedelta(hours=1)):
        assert at.astimezone(ZoneInfo("America/Chicago")).time() == time(1, 30)
        assert out_of_quiet_hours(at, "America/Chicago") == datetime(2026, 11, 1, 14, tzinfo=UTC)


@settings(max_examples=200)
@given(moments, zones)
def test_nothing_leaves_in_the_night_and_nothing_waits_longer_than_one(at, zone) -> None:
    leaves = out_of_quiet_hours(at, zone)
    assert QUIET_UNTIL <= leaves.astimezone(ZoneInfo(zone)).time() < QUIET_FROM
    assert timedelta(0) <= leaves - at <= timedelta(hours=13)
    assert out_of_quiet_hours(leaves, zone) == leaves


@settings(max_examples=200)
@given(moments, zones)
def test_the_reminder_is_by_day_and_two_days_of_the_calendar_before(starts_at, zone) -> None:
    reminder = two_days_before(starts_at, zone)
    assert reminder.utcoffset() == timedelta(0)
    assert out_of_quiet_hours(reminder, zone) == reminder
    there = ZoneInfo(zone)
    days = starts_at.astimezone(there).date() - reminder.astimezone(there).date()
    assert days == timedelta(days=2)


@settings(max_examples=200)
@given(moments, zones)
def test_the_planned_start_lies_in_the_first_half_of_its_window(starts_at, zone) -> None:
    window = arrival_window(starts_at, zone)
    assert timedelta(0) <= starts_at - window.starts_at < timedelta(minutes=30)
    assert window.ends_at.astimezone(UTC) - window.starts_at.astimezone(UTC) == timedelta(hours=1)
    assert (window.starts_at.minute % 30, window.starts_at.second) == (0, 0)
    assert window == arrival_window(window.starts_at, zone)


@pytest.mark.parametrize(
    ("now", "kinds"),
    [
        ("2026-06-01T14:00", [MessageKind.VISIT_BOOKED, MessageKind.TWO_DAYS_BEFORE]),
        ("2026-06-07T14:59", [MessageKind.VISIT_BOOKED, MessageKind.TWO_DAYS_BEFORE]),
        ("2026-06-07T15:00", [MessageKind.VISIT_BOOKED]),
        ("2026-06-09T13:59", [MessageKind.VISIT_BOOKED]),
        ("2026-06-09T14:00", []),
    ],
)
def test_a_visit_published_late_gets_no_reminder_and_one_begun_gets_nothing(now, kinds) -> None:
    told = told_of_a_visit(
        MessageKind.VISIT_BOOKED,
        starts_at=datetime(2026, 6, 9, 14, tzinfo=UTC),
        time_zone="America/Chicago",
        now=datetime.fromisoformat(f"{now}+00:00"),
    )
    assert [due.kind for due in told] == kinds
