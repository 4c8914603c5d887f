"""When a customer is told something, and how exactly: in the time of the site, never in the night.

Knows the hours that are fit for a message and the width of an arrival window. Knows nothing of
channels, of words, or of what the customer agreed to.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo


class MessageKind(StrEnum):
    """What a message is about."""

    VISIT_BOOKED = "visit-booked"
    VISIT_MOVED = "visit-moved"
    VISIT_CANCELLED = "visit-cancelled"
    TWO_DAYS_BEFORE = "two-days-before"
    ON_THE_WAY = "on-the-way"
    SIGNED_OFF = "signed-off"


REMINDED_AT = time(10)
"""Common practice: the morning rush is over and an office can still answer."""

QUIET_FROM = time(20)
QUIET_UNTIL = time(8)
"""Common practice, and an hour stricter than the 21:00 to 8:00 of 47 CFR 64.1200(c)(1), which is
about calls that sell. A shop follows its own local rules where they are stricter still."""

WINDOW_MIN = 60.0
"""Common practice: what a driver can promise across a town."""

WINDOW_STEP_MIN = 30
"""Common practice: a window begins on the hour or the half hour."""

ON_THE_WAY_HOLDS = timedelta(hours=1)
"""Common practice: after that the crew has arrived, or the news is wrong."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Due:
    """A message and the moment from which it is to be sent, in UTC."""

    kind: MessageKind
    due_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """Between these two the crew begins, in the time of the site."""

    starts_at: datetime
    ends_at: datetime


def arrival_window(starts_at: datetime, time_zone: str) -> Window:
    """The hour that a customer is told for a planned start: it begins at most 30 min before it.

    Examples
    --------
    >>> window = arrival_window(datetime(2026, 6, 3, 14, 20, tzinfo=UTC), "America/Chicago")
    >>> f"{window.starts_at:%a %H:%M}, {window.ends_at:%a %H:%M}"
    'Wed 09:00, Wed 10:00'
    """
    zone = ZoneInfo(time_zone)
    local = starts_at.astimezone(zone)
    since_step = timedelta(
        minutes=local.minute % WINDOW_STEP_MIN,
        seconds=local.second,
        microseconds=local.microsecond,
    )
    first = starts_at.astimezone(UTC) - since_step
    last = first + timedelta(minutes=WINDOW_MIN)
    return Window(starts_at=first.astimezone(zone), ends_at=last.astimezone(zone))


def two_days_before(starts_at: datetime, time_zone: str) -> datetime:
    """The moment of the reminder: 10:00 at the site, two days of the calendar before the visit.

    Examples
    --------
    >>> two_days_before(datetime(2026, 3, 9, 14, 0, tzinfo=UTC), "America/Chicago").isoformat()
    '2026-03-07T16:00:00+00:00'
    """
    zone = ZoneInfo(time_zone)
    day = starts_at.astimezone(zone).date() - timedelta(days=2)
    return datetime.combine(day, REMINDED_AT, zone).astimezone(UTC)


def out_of_quiet_hours(at: datetime, time_zone: str) -> datetime:
    """The moment itself by day; in the night (20:00 to 8:00 at the site) the next 8:00.

    Examples
    --------
    >>> out_of_quiet_hours(datetime(2026, 6, 2, 2, 0, tzinfo=UTC), "America/Chicago").isoformat()
    '2026-06-02T13:00:00+00:00'
    """
    zone = ZoneInfo(time_zone)
    local = at.astimezone(zone)
    if QUIET_UNTIL <= local.time() < QUIET_FROM:
        return at.astimezone(UTC)
    day = local.date() + timedelta(days=local.time() >= QUIET_FROM)
    return datetime.combine(day, QUIET_UNTIL, zone).astimezone(UTC)


def text_leaves_at(
    kind: MessageKind, at: datetime, *, time_zone: str, begins_at: datetime | None = None
) -> datetime:
    """The moment from which a text may leave: by day, unless the night would make it too late.

    Examples
    --------
    >>> night, morning = (datetime(2026, 6, 2, hour, tzinfo=UTC) for hour in (2, 12))
    >>> text_leaves_at(MessageKind.VISIT_MOVED, night, time_zone="America/Chicago").hour
    13
    >>> text_leaves_at(
    ...     MessageKind.VISIT_MOVED, night, time_zone="America/Chicago", begins_at=morning
    ... ).hour
    2
    """
    morning = out_of_quiet_hours(at, time_zone)
    is_too_late = begins_at is not None and morning >= begins_at
    if kind is MessageKind.ON_THE_WAY or is_too_late:
        return at.astimezone(UTC)
    return morning


def told_of_a_visit(
    kind: MessageKind, *, starts_at: datetime, time_zone: str, now: datetime
) -> tuple[Due, ...]:
    """What a customer is told once a visit has a published place: the news now, later the reminder.

    Nothing for a visit that has begun; no reminder where its hour has passed.

    Examples
    --------
    >>> start, now = (datetime(2026, 6, day, 14, tzinfo=UTC) for day in (9, 1))
    >>> for due in told_of_a_visit(
    ...     MessageKind.VISIT_BOOKED, starts_at=start, time_zone="America/Chicago", now=now
    ... ):
    ...     print(due.kind, due.due_at)
    visit-booked 2026-06-01 14:00:00+00:00
    two-days-before 2026-06-07 15:00:00+00:00
    """
    if starts_at <= now:
        return ()
    news = Due(kind=kind, due_at=now)
    reminder = two_days_before(starts_at, time_zone)
    if reminder <= now:
        return (news,)
    return (news, Due(kind=MessageKind.TWO_DAYS_BEFORE, due_at=reminder))
