"""A visit's rows into what its kit and its sheet are made of. Reads only; decides nothing."""

from dataclasses import replace
from uuid import UUID

from crewjobs.domain import facts
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import Outing
from crewjobs.models import Job, Shop, Visit
from crewjobs.snapshots.finished import team
from crewjobs.snapshots.jobs import job_facts, shop, whole_jobs, work


def visit_facts(visit: Visit, row: Job, of: Shop) -> facts.Job:
    """The facts of a job with the stone of one of its visits alone, and the team that comes."""
    return replace(
        job_facts(row, of, visit), work=work(row, only=visit.pieces.all()), team=team(visit)
    )


def outing(visit: Visit, row: Job, of: Shop) -> Outing:
    """What a visit's kit is counted from, of a job whose rows are at hand."""
    return Outing.of(visit_facts(visit, row, of), VisitKind(visit.kind), of.standard_minutes)


def outing_of(visit_id: UUID) -> Outing:
    """The same, by the visit's id.

    Raises
    ------
    Visit.DoesNotExist
        If there is none with this id.
    """
    row = whole_jobs().get(pk=Visit.objects.only("job").get(pk=visit_id).job_id)
    visit = next(each for each in row.visits.all() if each.pk == visit_id)
    return outing(visit, row, shop())
