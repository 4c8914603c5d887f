"""Moments in UTC, and what the shop's own clock shows at them."""

import datetime as dt
from zoneinfo import ZoneInfo

from crewjobs.models import Shop

DAY_MIN = 24 * 60


def week_zone() -> ZoneInfo:
    """The time zone of the shop's own clock."""
    return ZoneInfo(Shop.objects.get().time_zone)


def moment(day: dt.date, minute: int, zone: ZoneInfo) -> dt.datetime:
    """The moment in UTC at which the zone's clock shows this minute of the day."""
    days, minute = divmod(minute, DAY_MIN)
    clock = dt.time(minute // 60, minute % 60)
    return dt.datetime.combine(day + dt.timedelta(days), clock, zone).astimezone(dt.UTC)


def on_clock(at: dt.datetime, zone: ZoneInfo) -> tuple[dt.date, int]:
    """The day and the minute that the zone's clock shows at a moment."""
    local = at.astimezone(zone)
    return local.date(), local.hour * 60 + local.minute


def between(
    day: dt.date, starts_at: dt.time, ends_at: dt.time, zone: ZoneInfo
) -> tuple[dt.datetime, dt.datetime]:
    """Two times of a zone's day as moments in UTC."""
    return (
        dt.datetime.combine(day, starts_at, zone).astimezone(dt.UTC),
        dt.datetime.combine(day, ends_at, zone).astimezone(dt.UTC),
    )
