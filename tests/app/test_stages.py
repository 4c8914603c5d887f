"""A stage is entered with every guard's consent, or refused with every reason."""

import pytest

from crewjobs import models
from crewjobs.actions import stages
from crewjobs.actions.errors import NotAllowedError, RefusedError
from crewjobs.domain.facts import HoldReason, Stage
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db


def advance(job: models.Job, entering: Stage, by: models.Person | None = None) -> models.Job:
    return stages.advance(
        job_id=job.pk, entering=entering, by=by or rows.dispatcher(), now=rows.NOW
    )


def made(stage: Stage = Stage.IN_FABRICATION) -> models.Job:
    rows.shop()
    return rows.job(stage=stage)


def test_a_job_whose_pieces_passed_is_ready() -> None:
    job = made()
    for piece in job.pieces.all():
        on_site.inspected(piece)
    assert advance(job, Stage.READY).version == job.version + 1
    job.refresh_from_db()
    assert (job.stage, job.changed_at) == (Stage.READY, rows.NOW)
    entry = models.AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.job) == ("job.advance", rows.dispatcher(), job)
    assert entry.detail == {"before": "in fabrication", "after": "ready"}


def test_all_reasons_come_at_once_and_nothing_is_written() -> None:
    job = made()
    models.Hold.objects.create(
        created_at=rows.NOW, job=job, reason=HoldReason.PAYMENT_DUE, placed_by=rows.dispatcher()
    )
    on_site.inspected(job.pieces.get(name="A"), passed=False)
    with pytest.raises(RefusedError) as refused:
        advance(job, Stage.READY)
    assert {f.code for f in refused.value.findings} == {
        "on_hold", "not_inspected", "inspection_failed",
    }  # fmt: skip
    job.refresh_from_db()
    assert (job.stage, job.version) == (Stage.IN_FABRICATION, 1)
    assert on_site.audited() == []


def test_a_stage_is_not_skipped() -> None:
    with pytest.raises(RefusedError, match="templated comes before ready"):
        advance(made(Stage.BOOKED), Stage.READY)


def test_only_the_office_says_that_a_job_has_come_farther() -> None:
    visit = on_site.planned(stage=Stage.READY)
    advance(visit.job, Stage.PLANNED)
    for by in (rows.lead(), rows.lead(rows.crew("Crew Birch"))):
        with pytest.raises(NotAllowedError):
            advance(visit.job, Stage.ON_SITE, by)
