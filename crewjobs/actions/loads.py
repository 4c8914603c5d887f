"""Whether the trucks of a plan can be loaded: what stops the visits of days that cannot be."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from uuid import UUID

from crewjobs import snapshots
from crewjobs.domain import facts, loading
from crewjobs.domain.findings import Finding
from crewjobs.models import Placement, Plan
from crewjobs.snapshots import Load


def findings(plan: Plan, visits: frozenset[UUID]) -> dict[UUID, tuple[Finding, ...]]:
    """What is wrong with each day's load, said of the first of these visits that brings stone."""
    found = {}
    for load in snapshots.loads(plan):
        about = next((c.visit.pk for c in load.calls if c.pieces and c.visit.pk in visits), None)
        if about is not None and (stops := tuple(_of_day(load))):
            found[about] = stops
    return found


def of_job(job: facts.Job, days: Iterable[Placement]) -> tuple[Finding, ...]:
    """What is wrong with the loads of these days, if one job's stone and limits were as told."""
    loads = snapshots.loads_of_job(job, days)
    return tuple(finding for load in loads for finding in _of_day(load))


def _of_day(load: Load) -> Iterator[Finding]:
    for each in loading.findings(load.items, load.frame):
        message = f"the load of {load.crew.name} on {load.on}: {each.message}"
        yield replace(each, message=message)
