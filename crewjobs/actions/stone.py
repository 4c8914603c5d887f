"""The stone of a job and its way in: written whole, keeping what kept its name."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs import models
from crewjobs.actions import hours, log
from crewjobs.actions.errors import RefusedError
from crewjobs.actions.orders import Finish
from crewjobs.domain import facts
from crewjobs.domain.facts import Stage
from crewjobs.domain.findings import Finding, Severity
from crewjobs.models import Job, Person


@transaction.atomic
def replace(
    *, job_id: UUID, work: facts.Work, finishes: Mapping[str, Finish], by: Person, now: datetime
) -> Job:
    """Take over new sizes: pieces, seams, supports, and the site work that goes with them.

    Raises
    ------
    RefusedError
        Once the stone has been set.
    """
    job = log.locked_job(job_id, by=by, verb="stone.change")
    if Stage(job.stage).rank >= Stage.INSTALLED.rank:
        raise RefusedError([too_late(job)])
    write_stone(job, work, finishes, now=now)
    job.tear_out_mm = work.tear_out_mm
    job.cabinet_run_mm = work.cabinet_run_mm
    job.temperature_deg_c = work.temperature_deg_c
    job.has_dishwasher = work.has_dishwasher
    job.off_level_mm = work.off_level_mm
    touch(job, now=now)
    names = [piece.name for piece in work.pieces]
    log.write("stone.change", job, by=by, now=now, job=job, pieces=names)
    hours.refresh(job, now=now)
    return job


@transaction.atomic
def replace_route(
    *, job_id: UUID, route: Iterable[facts.RouteElement], by: Person, now: datetime
) -> Job:
    """Take over a new way in."""
    job = log.locked_job(job_id, by=by, verb="route.change")
    job.route.all().delete()
    write_route(job, route, now=now)
    touch(job, now=now)
    log.write("route.change", job, by=by, now=now, job=job)
    hours.refresh(job, now=now)
    return job


def touch(job: Job, *, now: datetime) -> None:
    """Save a changed job under its next version."""
    job.changed_at = now
    job.version += 1
    job.save()


def write_stone(
    job: Job, work: facts.Work, finishes: Mapping[str, Finish], *, now: datetime
) -> None:
    """Write pieces, cutouts, supports and seams. A piece that keeps its name keeps its history."""
    job.seams.all().delete()
    job.pieces.exclude(name__in=[piece.name for piece in work.pieces]).delete()
    kept = {piece.name: piece for piece in job.pieces.all()}
    for position, fact in enumerate(work.pieces):
        row = kept.setdefault(fact.name, models.Piece(job=job, name=fact.name, created_at=now))
        finish = finishes.get(fact.name) or Finish(
            material=row.material, edge_finish=row.edge_finish
        )
        _write_piece(row, fact, finish, position)
        _write_cutouts(row, fact, now=now)
    _write_supports(kept, work.supports, now=now)
    models.Seam.objects.bulk_create(
        models.Seam(
            created_at=now,
            job=job,
            name=seam.name,
            first=kept[seam.first],
            second=kept[seam.second],
            length_mm=seam.length_mm,
            method=seam.method,
            adhesive=seam.adhesive,
            is_over_dishwasher=seam.is_over_dishwasher,
            to_sink_mm=seam.to_sink_mm,
            gap_mm=seam.gap_mm,
            edge_lippage_mm=seam.edge_lippage_mm,
            lippage_mm=seam.lippage_mm,
        )
        for seam in work.seams
    )


def write_route(job: Job, route: Iterable[facts.RouteElement], *, now: datetime) -> None:
    """Write the way in, element by element."""
    models.RouteElement.objects.bulk_create(
        models.RouteElement(
            created_at=now,
            job=job,
            position=position,
            kind=element.kind,
            name=element.name,
            steps=element.steps,
            **{size: getattr(element, size) for size in facts.RouteElement.sizes()},
        )
        for position, element in enumerate(route)
    )


def _write_piece(row: models.Piece, fact: facts.Piece, finish: Finish, position: int) -> None:
    row.kind = fact.kind
    row.outline_mm = [list(point) for point in fact.outline_mm]
    row.thickness_mm = fact.thickness_mm
    row.density_kg_m3 = fact.density_kg_m3
    row.finished_edge_mm = fact.finished_edge_mm
    row.needs_field_cut = fact.needs_field_cut
    row.overhang_mm = fact.overhang_mm
    row.span_mm = fact.span_mm
    row.dishwasher_hole_mm = fact.dishwasher_hole_mm
    row.layout_x_mm = fact.layout_x_mm
    row.layout_y_mm = fact.layout_y_mm
    row.layout_turn_deg = fact.layout_turn_deg
    row.material = finish.material
    row.edge_finish = finish.edge_finish
    row.position = position
    row.save()


def _write_cutouts(row: models.Piece, fact: facts.Piece, *, now: datetime) -> None:
    row.cutouts.all().delete()
    models.Cutout.objects.bulk_create(
        models.Cutout(
            created_at=now,
            piece=row,
            kind=cutout.kind,
            x_mm=cutout.x_mm,
            y_mm=cutout.y_mm,
            width_mm=cutout.width_mm,
            height_mm=cutout.height_mm,
            corner_radius_mm=cutout.corner_radius_mm,
            is_made_on_site=cutout.is_made_on_site,
            is_set_in_shop=cutout.is_set_in_shop,
            front_rail_mm=cutout.front_rail_mm,
            back_rail_mm=cutout.back_rail_mm,
            is_supported=cutout.is_supported,
            cabinet_mm=cutout.cabinet_mm,
        )
        for cutout in fact.cutouts
    )


def _write_supports(
    rows: Mapping[str, models.Piece], supports: Iterable[facts.Support], *, now: datetime
) -> None:
    models.Support.objects.filter(piece__in=rows.values()).delete()
    models.Support.objects.bulk_create(
        models.Support(
            created_at=now,
            piece=rows[support.piece],
            kind=support.kind,
            is_in_place=support.is_in_place,
        )
        for support in supports
    )


def too_late(job: Job) -> Finding:
    """Why the stone of a job that is set does not change."""
    return Finding(
        code="stone_is_set",
        severity=Severity.STOP,
        message=f"job {job.number} is {job.stage}: order a remake instead of changing its sizes",
    )
