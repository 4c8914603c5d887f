"""When the adhesive and silicone of a job have cured, from its rows. Reads only."""

from datetime import datetime

from crewjobs.domain import curing
from crewjobs.domain.curing import Cured, OnSite
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.limits import Limits
from crewjobs.models import Job, Shop, Visit
from crewjobs.snapshots.jobs import visit_reports, work


def cured(row: Job, of: Shop) -> Cured | None:
    """When it has, as reported or foretold, of a job whose rows are at hand; None where unknown."""
    visits = [
        _on_site(visit)
        for visit in row.visits.all()
        if visit.kind != VisitKind.TEMPLATE and visit.cancelled_at is None
    ]
    return curing.cured(work(row), visits, limits=Limits.of(of.limits))


def _on_site(visit: Visit) -> OnSite:
    """A visit that returns, lends a hand or was broken off does only what it reports."""
    was_broken_off = visit.finished_at is not None and visit.progress_share < 1
    is_main = visit.kind == VisitKind.INSTALL and visit.assists_id is None
    return OnSite(
        reports=visit_reports(visit),
        does_all=is_main and not was_broken_off,
        ends_at=_ends_at(visit),
        is_over=visit.finished_at is not None,
    )


def _ends_at(visit: Visit) -> datetime | None:
    """When it ended; else the later of its published end and the one that four of five keep."""
    if visit.finished_at:
        return visit.finished_at
    place = visit.placement
    known = (place.ends_at if place else None, visit.live_finish_p80_at)
    return max((at for at in known if at is not None), default=None)
