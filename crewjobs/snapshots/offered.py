"""What can be promised to a customer, by what is published now. Reads only."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from crewjobs.domain import scheduling
from crewjobs.domain.scheduling.offers import Offer, offers
from crewjobs.models import Crew
from crewjobs.snapshots.clocks import on_clock, week_zone
from crewjobs.snapshots.running import Event, running_week
from crewjobs.snapshots.week import Week

MOST_DAYS = 14
"""The farthest that windows are offered. Common practice."""


def offered(
    asked: scheduling.Visit | UUID, *, days: int, now: dt.datetime
) -> Sequence[tuple[Offer, Week]]:
    """The windows of the days after today that hurt nobody, the cheapest first.

    Raises
    ------
    KeyError
        If the visit cannot be planned in these days.
    """
    today = on_clock(now, week_zone())[0]
    found = running_week(today + dt.timedelta(min(days, MOST_DAYS)), Event(), now=now)
    problem = found.week.problem
    later = tuple(at for at in problem.crew_days if at.day > today)
    known = {visit.id: visit for visit in problem.visits}
    visit = known[str(asked)] if isinstance(asked, UUID) else asked
    ahead = scheduling.Problem(
        crew_days=later, visits=problem.visits, costs=problem.costs, travel=problem.travel,
        traffic=problem.traffic,
    )  # fmt: skip
    return [(offer, found.week) for offer in offers(ahead, found.plan, visit)]


def crew_names() -> dict[str, str]:
    """What people call the crews."""
    return {str(pk): name for pk, name in Crew.objects.values_list("pk", "name")}
