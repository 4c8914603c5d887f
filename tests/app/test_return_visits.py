"""A job that its install visit left unfinished is finished by a return visit."""

import datetime as dt

import pytest

from crewjobs import models
from crewjobs.actions import remakes, stages
from crewjobs.actions.errors import RefusedError
from crewjobs.domain.facts import ReportKind, Stage
from tests import rows
from tests.app import on_site
from tests.app.on_site import moment, report

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("was_installed", [False, True])
def test_a_piece_made_again_is_set_by_the_return_visit(was_installed) -> None:
    visit = on_site.planned()
    if was_installed:
        on_site.work_through(visit)
    else:
        report(visit, ReportKind.ARRIVED)
        report(visit, ReportKind.PIECE_SET, "A", 60)
        report(visit, ReportKind.LEFT, "", 70)
    back = remade(visit, "B")
    assert "pieces_not_set" in refusals(visit)
    report(back, ReportKind.ARRIVED, "", 20_000, now=moment(21_000))
    report(back, ReportKind.PIECE_SET, "B", 20_050, now=moment(21_000))
    flag = report(back, ReportKind.LEFT, "", 20_080, now=moment(21_000)).flag
    job = models.Job.objects.get(pk=visit.job_id)
    assert (job.stage, flag) == (Stage.INSTALLED, "")


def remade(visit: models.Visit, name: str) -> models.Visit:
    """The piece is ordered again, made, and a return visit for it is published."""
    remake = remakes.order(
        piece_id=visit.job.pieces.get(name=name).pk,
        by=rows.lead(),
        now=moment(300),
        reason=models.RemakeReason.BROKEN,
        ready_on=dt.date(2026, 6, 12),
    )
    remakes.made(remake_id=remake.pk, by=rows.lead(), now=moment(5_000))
    back = visit.job.visits.get(kind="return")
    rows.placement(back, starts_at=moment(20_000), ends_at=moment(20_100))
    return back


def refusals(visit: models.Visit) -> set[str]:
    """What speaks against the job's next stage."""
    job = models.Job.objects.get(pk=visit.job_id)
    following = Stage(job.stage).following
    assert following
    with pytest.raises(RefusedError) as refused:
        stages.advance(job_id=job.pk, entering=following, by=rows.dispatcher(), now=moment(6_000))
    return {finding.code for finding in refused.value.findings}
