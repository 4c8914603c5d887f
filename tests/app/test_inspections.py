"""Inspections: the newest counts, and those who see the job may say it."""

import datetime as dt

import pytest

from crewjobs import models
from crewjobs.actions import inspections
from crewjobs.actions.errors import InvalidError, NotAllowedError
from crewjobs.actions.forms import Given
from crewjobs.models import Role
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db


def record(piece: models.Piece, by: models.Person | None = None, **fields) -> models.Inspection:
    rows.shop()
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
        ({"passed": None}, "/passed"),
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


WHOLE = {
    "length": Given(measured_mm=1900),
    "depth": Given(measured_mm=650),
    **{code: Given(said="yes") for code in ("material", "edges", "sound", "flat", "seam_edges")},
}
"""Every question that piece B must answer."""


def test_a_piece_passes_when_its_form_has_no_bad_answer() -> None:
    piece = rows.job().pieces.get(name="B")
    made = record(piece, passed=None, answers=WHOLE)
    assert made.passed
    assert made.answers["length"] == {"measured_mm": 1900}
    assert on_site.audited() == ["form.fill", "piece.inspect"]


def test_a_person_may_fail_what_the_form_would_pass() -> None:
    piece = rows.job().pieces.get(name="B")
    assert not record(piece, passed=False, note="the vein jumps", answers=WHOLE).passed


def test_a_bad_answer_fails_the_piece_in_its_own_words() -> None:
    piece = rows.job().pieces.get(name="B")
    wrong = WHOLE | {"length": Given(measured_mm=1890)}
    made = record(piece, passed=None, answers=wrong)
    assert not made.passed
    assert made.note == "Length of the piece, measured: 1890.0 mm, the least is 1896.8 mm"
    for told in ({"passed": True}, {"passed": True, "answers": wrong}):
        with pytest.raises(InvalidError) as refused:
            record(piece, **told)
        assert list(refused.value.problems) == ["/passed"]
    later = rows.NOW + dt.timedelta(hours=1)
    again = {"length": Given(measured_mm=1899)}
    assert record(piece, passed=None, answers=again, now=later).passed


def test_a_form_that_was_half_answered_does_not_pass_a_piece() -> None:
    piece = rows.job().pieces.get(name="B")
    with pytest.raises(InvalidError) as refused:
        record(piece, passed=None, answers={"sound": Given(said="yes")})
    assert "/answers/length" in refused.value.problems
    assert not models.FilledForm.objects.exists()


def test_the_same_inspection_sent_again_is_the_same() -> None:
    piece = rows.job().pieces.get(name="B")
    told = {"passed": None, "answers": WHOLE, "client_id": rows.uuid(7), "filled_at": rows.NOW}
    first = record(piece, **told)
    assert record(piece, **told, now=rows.NOW + dt.timedelta(minutes=5)) == first
    assert models.Inspection.objects.count() == 1
