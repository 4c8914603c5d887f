"""What publishing a draft would make customers hear: whom to call, and which messages leave.

Reads only.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import prefetch_related_objects

from crewjobs.actions import messages, plans
from crewjobs.actions.plans import Change
from crewjobs.domain.reminding import Window, arrival_window
from crewjobs.models import OutboxMessage, Placement, Plan, PlannedVisit, PlanStatus, Visit
from crewjobs.snapshots.letters import channels


class Knows(StrEnum):
    """What a customer knows of the hour that the draft takes away."""

    ACCEPTED = "accepted"
    """The customer said yes to it."""
    TOLD = "told"
    """A message about it has left."""
    UNKNOWN = "unknown"
    """No message reaches this customer: only the office knows whether somebody called."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """A customer who expects the crew at another hour than the draft says."""

    visit: Visit
    knows: Knows
    before: Window
    """When the crew was to arrive."""
    after: Window | None
    """When it would now; None if the visit loses its place."""

    @property
    def name(self) -> str:
        """Who is to be called."""
        return self.visit.job.customer.name

    @property
    def phone(self) -> str:
        """At which number; empty if nobody wrote one down."""
        return self.visit.job.customer.phone


def calls(plan: Plan, *, now: datetime) -> list[Call]:
    """Who expects another arrival window than the draft has, the soonest first.

    Whoever accepted comes before who was told, and these before who may know of nothing. A move
    inside the window that the customer knows needs no call, nor does a message that has not left.
    """
    found = [call for change in _changes(plan) if (call := _call(change, now))]
    order = list(Knows)
    return sorted(found, key=lambda each: (order.index(each.knows), each.before.starts_at))


def to_leave(plan: Plan, *, now: datetime) -> list[OutboxMessage]:
    """The messages that publishing the draft now would write, the soonest first. None is written.

    With each its visit, so that it can be said to whom it goes and about what.
    """
    found = [
        message
        for change in _changes(plan)
        for message in messages.of_change(
            visit=change.visit, before=change.before, after=change.after, now=now
        )
    ]
    return sorted(found, key=lambda each: (each.due_at, each.dedupe_key))


def _changes(plan: Plan) -> list[Change]:
    """What the draft changes, with what each customer was told."""
    if plan.status != PlanStatus.DRAFT:
        return []
    changes = plans.compare(plan)
    prefetch_related_objects([change.visit for change in changes], "messages")
    return changes


def _call(change: Change, now: datetime) -> Call | None:
    if change.before is None or not change.is_news or change.before.ends_at <= now:
        return None
    knows = _knows(change.visit)
    if knows is None:
        return None
    return Call(
        visit=change.visit,
        knows=knows,
        before=_window(change.before, change.visit),
        after=_window(change.after, change.visit) if change.after else None,
    )


def _knows(visit: Visit) -> Knows | None:
    """What the customer knows of the published hour; None if the message has not left."""
    if visit.customer_confirmed_at:
        return Knows.ACCEPTED
    if messages.may_expect_us(visit):
        return Knows.TOLD
    return None if channels(visit.job.customer) else Knows.UNKNOWN


def _window(place: Placement | PlannedVisit, visit: Visit) -> Window:
    return arrival_window(place.starts_at, visit.job.site.time_zone)
