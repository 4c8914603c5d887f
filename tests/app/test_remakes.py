"""Remakes: a new ready date, a new inspection, and a crew that comes again."""

import datetime as dt

import pytest

from crewjobs import models, snapshots
from crewjobs.actions import inspections, remakes, stages
from crewjobs.actions.errors import ConflictError, InvalidError, RefusedError
from crewjobs.domain.facts import Stage
from crewjobs.models import RemakeReason
from tests import rows
from tests.app import on_site
from tests.app.on_site import K, report

pytestmark = pytest.mark.django_db

READY = dt.date(2026, 6, 12)


def order(piece: models.Piece, by: models.Person | None = None, **fields) -> models.Remake:
    fields = {"ready_on": READY, "reason": RemakeReason.BROKEN, "now": on_site.moment(100)} | fields
    return remakes.order(piece_id=piece.pk, by=by or rows.lead(), **fields)


def test_a_broken_piece_moves_the_ready_date_and_brings_a_return_visit() -> None:
    visit = on_site.planned(stone_ready_on=dt.date(2026, 6, 1))
    report(visit, K.ARRIVED)
    order(visit.job.pieces.get(name="B"))
    visit.job.refresh_from_db()
    back = visit.job.visits.get(kind="return")
    assert visit.job.stone_ready_on == back.earliest_on == READY
    assert [piece.name for piece in back.pieces.all()] == ["B"]
    assert back.p50_min > 0
    assert on_site.audited()[-2:] == ["piece.remake", "visit.add"]


def test_a_second_piece_comes_along_on_the_same_return_visit() -> None:
    visit = on_site.planned()
    report(visit, K.ARRIVED)
    order(visit.job.pieces.get(name="B"))
    order(visit.job.pieces.get(name="A"), ready_on=dt.date(2026, 6, 15))
    back = visit.job.visits.get(kind="return")
    assert back.earliest_on == dt.date(2026, 6, 15)
    assert back.pieces.count() == 2


def test_before_a_crew_has_been_there_no_return_visit_is_needed() -> None:
    visit = on_site.planned(stage=Stage.READY)
    order(visit.job.pieces.get(name="B"))
    assert not visit.job.visits.filter(kind="return").exists()


def test_a_job_with_an_open_remake_is_not_ready_until_it_is_made_and_inspected() -> None:
    visit = on_site.planned(stage=Stage.IN_FABRICATION)
    job, piece, office = visit.job, visit.job.pieces.get(name="B"), rows.dispatcher()
    remake = order(piece)
    codes = []
    for step in range(3):
        now = on_site.moment(200 + step)
        if step == 1:
            remakes.made(remake_id=remake.pk, by=office, now=now)
        if step == 2:
            inspections.record(piece_id=piece.pk, by=office, now=now, passed=True)
            stages.advance(job_id=job.pk, entering=Stage.READY, by=office, now=now)
            return
        with pytest.raises(RefusedError) as refused:
            stages.advance(job_id=job.pk, entering=Stage.READY, by=office, now=now)
        codes.append([f.code for f in refused.value.findings])
        assert codes[-1] == (["remake_open"], ["not_inspected"])[step]


def test_a_remade_piece_is_no_longer_inspected() -> None:
    visit = on_site.planned()
    remake = order(visit.job.pieces.get(name="B"))
    remakes.made(remake_id=remake.pk, by=rows.lead(), now=on_site.moment(300))
    assert snapshots.job(visit.job_id).record.inspected == {"A"}


def test_twice_and_too_late_are_refused() -> None:
    visit = on_site.planned()
    piece = visit.job.pieces.get(name="B")
    with pytest.raises(InvalidError, match="is past"):
        order(piece, ready_on=dt.date(2026, 6, 2))
    remake = order(piece)
    with pytest.raises(ConflictError, match="being made again already"):
        order(piece)
    remakes.made(remake_id=remake.pk, by=rows.lead(), now=rows.NOW)
    with pytest.raises(ConflictError, match="was made again already"):
        remakes.made(remake_id=remake.pk, by=rows.lead(), now=rows.NOW)


def test_a_signed_off_job_takes_no_remake() -> None:
    visit = on_site.planned(stage=Stage.SIGNED_OFF)
    with pytest.raises(RefusedError, match="is signed off"):
        order(visit.job.pieces.get(name="B"))


def test_another_crew_orders_nothing() -> None:
    visit = on_site.planned()
    with pytest.raises(models.Job.DoesNotExist):
        order(visit.job.pieces.get(name="B"), rows.lead(rows.crew("Crew Birch")))
    assert not models.Remake.objects.exists()
