"""The visits that a plan leaves out: those that found no place, and those nobody put to it."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from crewjobs.actions import choices
from crewjobs.actions.choices import Way
from crewjobs.models import Plan, PlanStatus, UnplacedVisit
from crewjobs.web.pages import Asked

MOST_WAYS = 20
"""Visits for which the page says at once what would place them; the others have pages of their own.
``tests.bench.reasons`` prints what one takes."""


@dataclass(frozen=True, kw_only=True, slots=True)
class NotPlaced:
    """A visit without a place, and the cheapest way to place it, if one is known."""

    row: UnplacedVisit
    way: Way | None


def of_plan(plan: Plan) -> QuerySet[UnplacedVisit]:
    """What the plan leaves out."""
    return plan.unplaced.select_related("visit__job__customer", "visit__job__site")


def parts(asked: Asked, plan: Plan | None, rows: Iterable[UnplacedVisit]) -> dict[str, object]:
    """Both parts for a page: asked of the planner and not placed, and not even asked of it."""
    found = list(rows)
    not_placed = [row for row in found if row.is_asked]
    is_draft = plan is not None and plan.status == PlanStatus.DRAFT
    ways = {}
    if plan is not None and is_draft and asked.may("plan.make"):
        wanted = [row.visit_id for row in not_placed[:MOST_WAYS]]
        ways = choices.cheapest_ways(plan_id=plan.pk, visits=wanted, by=asked.by) if wanted else {}
    return {
        "not_placed": [NotPlaced(row=row, way=ways.get(row.visit_id)) for row in not_placed],
        "not_asked": [row for row in found if not row.is_asked],
        "without_place": len(found),
        "of_draft": plan if is_draft else None,
    }
