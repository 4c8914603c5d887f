"""The database itself holds what must always be true."""

import pytest
from django.db import IntegrityError, transaction

from crewjobs import models
from tests import rows

pytestmark = pytest.mark.django_db


def refuses(make, **fields) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        make(**fields)


def test_a_job_stands_with_its_pieces() -> None:
    job = rows.job()
    assert [piece.name for piece in job.pieces.all()] == ["A", "B"]


@pytest.mark.parametrize(
    ("make", "fields"),
    [
        (rows.job, {"stage": "melted"}),
        (rows.job, {"tear_out_mm": -1}),
        (rows.job, {"cancelled_at": rows.NOW}),
        (rows.visit, {"p80_min": 10}),
        (rows.visit, {"finished_at": rows.NOW}),
        (rows.visit, {"progress_share": 1.5}),
        (rows.placement, {"ends_at": rows.at(3, 1)}),
        (rows.site, {"lat": 91}),
        (rows.customer, {"takes_texts": True}),
        (rows.shop, {"circuity_factor": 0.9}),
    ],
)
def test_what_cannot_be_is_refused(make, fields) -> None:
    refuses(make, **fields)


def test_a_visit_has_one_place_in_force() -> None:
    visit = rows.visit()
    rows.placement(visit, withdrawn_at=rows.NOW)
    rows.placement(visit, crew=rows.crew("Crew Birch"))
    refuses(rows.placement, of=visit, crew=rows.crew("Crew Cedar"))


def test_there_is_one_shop() -> None:
    rows.shop()
    refuses(lambda: models.Shop.objects.create(created_at=rows.NOW, name="Another"))
