"""How long a visit is planned for, and when its place ends once that changes. Reads only."""

import datetime as dt
from zoneinfo import ZoneInfo

from crewjobs.models import Placement, Shop, Visit
from crewjobs.snapshots.clocks import moment, on_clock

MINUTE = dt.timedelta(minutes=1)


def planned_min(visit: Visit, of: Shop) -> int:
    """The whole minutes that a plan gives a visit, between its P50 and its P80."""
    return max(1, round(visit.p50_min + of.planning_share * (visit.p80_min - visit.p50_min)))


def end_moved(place: Placement, more_min: int, of: Shop) -> dt.datetime:
    """When a place ends whose last day takes so much longer, around the shop's break."""
    begins_at = place.starts_at
    if place.parts:
        begins_at = dt.datetime.fromisoformat(place.parts[-1]["starts_at"])
    first, last = _pause(begins_at, of)
    paused = max(min(last, place.ends_at) - max(first, begins_at), dt.timedelta())
    worked_min = (place.ends_at - begins_at - paused) / MINUTE
    ends_at = begins_at + max(1, worked_min + more_min) * MINUTE
    return ends_at + (last - first) if begins_at < first < ends_at else ends_at


def _pause(at: dt.datetime, of: Shop) -> tuple[dt.datetime, dt.datetime]:
    """The break of that day on the shop's clock."""
    zone = ZoneInfo(of.time_zone)
    first_min = of.break_starts_at.hour * 60 + of.break_starts_at.minute
    first = moment(on_clock(at, zone)[0], first_min, zone)
    return first, first + round(of.break_min) * MINUTE
