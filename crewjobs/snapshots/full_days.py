"""The days of crews, past and to come, as hours to be lived through by chance. Reads only."""

from collections import defaultdict
from uuid import UUID
from zoneinfo import ZoneInfo

from crewjobs.domain.scheduling.risk import Hours
from crewjobs.models import Placement, Shop
from crewjobs.snapshots.clocks import on_clock

MOST_VISITS = 2_000
"""The newest; older ones tell less of the work to come."""


def full_days(shop: Shop) -> list[tuple[Hours, ...]]:
    """The hours of each crew-day's visits, as they are published or were."""
    zone = ZoneInfo(shop.time_zone)
    days = defaultdict[tuple[UUID, object], list[Hours]](list)
    rows = Placement.objects.filter(withdrawn_at__isnull=True, visit__p50_min__gt=0)
    for row in rows.select_related("visit").order_by("-starts_at", "pk")[:MOST_VISITS]:
        hours = Hours(p50_min=row.visit.p50_min, p80_min=row.visit.p80_min)
        days[row.crew_id, on_clock(row.starts_at, zone)[0]].append(hours)
    return [tuple(day) for day in days.values()]
