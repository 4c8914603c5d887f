"""A job with a crew at its door: what the tests of the site's actions begin with."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from crewjobs import models
from crewjobs.actions import reports
from crewjobs.domain.facts import ReportKind, Stage
from tests import rows

K = ReportKind
START = rows.at(3, 14)
"""When the crew is planned to begin."""
USUAL = (
    (K.ARRIVED, "", 5),
    (K.WALK_THROUGH_DONE, "", 15),
    (K.PIECE_SET, "A", 60),
    (K.PIECE_SET, "B", 90),
    (K.SEAM_POURED, "A-B", 110),
    (K.SINK_SET, "A", 120),
    (K.SILICONE_DONE, "", 150),
    (K.CLEANED, "", 160),
    (K.REVIEWED, "", 170),
    (K.LEFT, "", 180),
)


def moment(minute: float) -> datetime:
    return START + timedelta(minutes=minute)


def planned(number: str = "1001", stage: Stage = Stage.PLANNED, **fields) -> models.Visit:
    """The published install visit of Crew Ash at a job that is ready for it."""
    rows.shop()
    job = rows.job(number, stage=stage, **fields)
    for piece in job.pieces.all():
        inspected(piece)
    visit = rows.visit(job)
    rows.placement(visit)
    rows.lead()
    return visit


def inspected(piece: models.Piece, *, passed: bool = True) -> models.Inspection:
    return models.Inspection.objects.create(
        created_at=rows.NOW, piece=piece, by=rows.dispatcher(), passed=passed
    )


def sent(kind: ReportKind, about: str = "", minute: float = 0) -> reports.Told:
    """What a phone sends: the same words make the same id."""
    client_id = uuid5(UUID(int=0), f"{kind} {about} {minute:g}")
    return {"client_id": client_id, "kind": kind, "happened_at": moment(minute), "about": about}


def report(
    visit: models.Visit, kind: ReportKind, about: str = "", minute: float = 0, **fields
) -> models.StatusReport:
    by = fields.pop("by", None) or rows.lead()
    now = fields.pop("now", moment(240))
    told: dict[str, Any] = {**sent(kind, about, minute), **fields}
    return reports.add(visit_id=visit.pk, by=by, now=now, **told)


def work_through(visit: models.Visit, *, until: ReportKind = K.LEFT) -> None:
    """The usual day, up to a report."""
    for kind, about, minute in USUAL:
        report(visit, kind, about, minute)
        if kind is until:
            return


def audited() -> list[str]:
    """The verbs of the log, oldest first."""
    return list(models.AuditEntry.objects.order_by("number").values_list("verb", flat=True))
