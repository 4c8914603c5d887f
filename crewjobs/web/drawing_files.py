"""Drawings as SVG files of their own, for whoever may see the job."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.domain import carrying, drawings, facts
from crewjobs.models import Piece
from crewjobs.permissions import visible_jobs
from crewjobs.web.drawings import as_file, lettering
from crewjobs.web.pages import Asked, page


@require_safe
@page
def layout(asked: Asked, job_id: UUID) -> HttpResponse:
    """The whole job from above."""
    return as_file(drawings.layout(_job(asked, job_id).work, lettering(asked.shop)))


@require_safe
@page
def piece(asked: Asked, job_id: UUID, piece_id: UUID) -> HttpResponse:
    """One piece with its measures."""
    job = _job(asked, job_id)
    found = _piece(job, job_id, piece_id)
    return as_file(drawings.piece(found, lettering(asked.shop), limits=job.limits))


@require_safe
@page
def tightest(asked: Asked, job_id: UUID, piece_id: UUID) -> HttpResponse:
    """The tightest place of a piece's way in; not found where nothing is known to bound it."""
    job = _job(asked, job_id)
    found = _piece(job, job_id, piece_id)
    drawn = drawings.tightest(
        found, job.work.route, carrying.verdict(job, found), lettering(asked.shop)
    )
    if drawn is None:
        raise Http404
    return as_file(drawn)


def _job(asked: Asked, job_id: UUID) -> facts.Job:
    if not visible_jobs(asked.by).filter(pk=job_id).exists():
        raise Http404
    return snapshots.job(job_id)


def _piece(job: facts.Job, job_id: UUID, piece_id: UUID) -> facts.Piece:
    row = Piece.objects.filter(pk=piece_id, job_id=job_id).only("name").first()
    found = [piece for piece in job.work.pieces if row and piece.name == row.name]
    if not found:
        raise Http404
    return found[0]
