"""Inspections: the newest counts, and those who see the job may say it."""

import pytest

from crewjobs import models
from crewjobs.actions import inspections
from crewjobs.actions.errors import InvalidError, NotAllowedError
from crewjobs.models import Role
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db


def record(piece: models.Piece, by: models.Person | None = None, **fields) -> models.Inspection:
    fields = {"passed": True, "now": rows.NOW} | fields
    return inspections.record(piece_id=piece.pk, by=by or rows.dispatcher(), **fields)


def test_an_inspection_is_kept_with_what_was_measured() -> None:
    piece = rows.job().pieces.get(name="A")
    made = record(piece, measurements={"length_mm": 2440.5})
    assert (made.passed, made.measurements) == (True, {"length_mm": 2440.5})
    assert on_site.audited() == ["piece.inspect"]


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"passed": False}, "/note"),
        ({"measurements": {"length_mm": float("nan")}}, "/measurements/length_mm"),
    ],
)
def test_what_cannot_be_is_refused(fields, pointer) -> None:
    with pytest.raises(InvalidError) as refused:
        record(rows.job().pieces.get(name="A"), **fields)
    assert list(refused.value.problems) == [pointer]
    assert not models.Inspection.objects.exists()


def test_the_lead_on_the_job_may_and_others_may_not() -> None:
    piece = on_site.planned().job.pieces.get(name="A")
    record(piece, rows.lead())
    with pytest.raises(models.Job.DoesNotExist):
        record(piece, rows.lead(rows.crew("Crew Birch")))
    with pytest.raises(NotAllowedError):
        record(piece, rows.person(Role.CREW_MEMBER, crew=rows.crew()))
