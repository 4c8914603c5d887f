"""Sign-off: the text that was shown is the text that is signed, and nothing is left unsaid."""

from hashlib import sha256
from typing import Any

import pytest

from crewjobs import models
from crewjobs.actions import items, signoffs, trades
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.domain.facts import Stage, Trade
from crewjobs.models import Purpose, Role, SigningWay
from tests import rows
from tests.app import on_site
from tests.app.on_site import K, moment

pytestmark = pytest.mark.django_db

STROKES = [[[1.0, 2.0, 0.0], [3.0, 4.0, 12.0]]]


def installed() -> models.Job:
    visit = on_site.planned()
    on_site.work_through(visit, until=K.REVIEWED)
    return models.Job.objects.get(pk=visit.job_id)


def sign(job: models.Job, by: models.Person | None = None, **fields) -> models.SignOff:
    link = fields.pop("link", None)
    told: dict[str, Any] = {"signer_name": "Mara Linden", "way": SigningWay.TYPED, **fields}
    person = None if link else by or rows.lead()
    return signoffs.sign(job_id=job.pk, by=person, now=moment(200), link=link, **told)


def link(job: models.Job, **fields) -> models.Link:
    return models.Link.objects.create(
        **({"created_at": rows.NOW, "purpose": Purpose.SIGN_OFF, "token_hash": "0", "job": job}
           | fields)
    )  # fmt: skip


def test_a_drawn_signature_signs_the_job_off_while_the_crew_is_still_there() -> None:
    job = installed()
    made = sign(job, way=SigningWay.DRAWN, strokes=STROKES, address="192.0.2.7", agent="phone")
    job.refresh_from_db()
    assert (job.stage, made.strokes, made.witnessed_by) == (Stage.SIGNED_OFF, STROKES, rows.lead())
    assert made.document_sha256 == sha256(made.document.encode()).hexdigest()
    assert on_site.audited()[-2:] == ["job.advance", "job.sign_off"]
    assert models.OutboxMessage.objects.filter(job=job).count() == 1


def test_the_text_says_what_was_installed_what_is_open_and_what_is_left_to_trades() -> None:
    job = installed()
    items.open(job_id=job.pk, what="polish a chip", by=rows.lead(), now=rows.NOW)
    trades.leave(
        job_id=job.pk, trade=Trade.WATER, what="connect the tap", by=rows.lead(), now=rows.NOW,
        earliest_at=rows.at(4, 14),
    )  # fmt: skip
    text = signoffs.document(job)
    for part in ("Job 1001", "12 Harbor Lane", "- A: top, 30 mm", "- polish a chip"):
        assert part in text
    assert "- water: connect the tap, not before 2026-06-04 09:00" in text


def test_an_open_item_stops_the_sign_off_unless_the_customer_accepts_it() -> None:
    job = installed()
    items.open(job_id=job.pk, what="polish a chip", by=rows.lead(), now=rows.NOW)
    before = on_site.audited()
    with pytest.raises(RefusedError, match="still open: polish a chip"):
        sign(job)
    assert not models.SignOff.objects.exists()
    assert not models.OutboxMessage.objects.exists()
    assert on_site.audited() == before
    sign(job, accepts_open_items=True)
    assert job.open_items.get().is_accepted


def test_a_job_that_is_not_installed_is_not_signed_off() -> None:
    visit = on_site.planned()
    on_site.work_through(visit, until=K.CLEANED)
    with pytest.raises(RefusedError, match="installed comes before signed off"):
        sign(visit.job)


def test_a_text_that_has_changed_since_is_not_signed() -> None:
    job = installed()
    seen = signoffs.sha256_of(signoffs.document(job))
    item = items.open(job_id=job.pk, what="polish a chip", by=rows.lead(), now=rows.NOW)
    with pytest.raises(ConflictError, match="has changed since"):
        sign(job, seen_sha256=seen, accepts_open_items=True)
    items.close(item_id=item.pk, by=rows.lead(), now=rows.NOW)
    sign(job, seen_sha256=seen)


def test_nobody_signs_twice() -> None:
    job = installed()
    sign(job)
    with pytest.raises(ConflictError, match="signed off already"):
        sign(job)


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"signer_name": "  "}, "/signer_name"),
        ({"signer_name": "x" * 121}, "/signer_name"),
        ({"way": SigningWay.DRAWN}, "/strokes"),
        ({"way": SigningWay.DRAWN, "strokes": [[[1.0, 2.0]] * 2]}, "/strokes"),
        ({"way": SigningWay.DRAWN, "strokes": [[[1.0, 2.0, float("inf")]] * 2]}, "/strokes"),
        ({"way": SigningWay.DRAWN, "strokes": [[[1.0, 2.0, 3.0]] * 20_001]}, "/strokes"),
    ],
)
def test_what_is_no_signature_is_refused(fields, pointer) -> None:
    with pytest.raises(InvalidError) as refused:
        sign(installed(), **fields)
    assert list(refused.value.problems) == [pointer]


def test_the_customer_signs_through_a_link() -> None:
    job = installed()
    made = sign(job, link=link(job))
    assert made.witnessed_by is None
    assert models.AuditEntry.objects.latest("number").by is None


@pytest.mark.parametrize(
    "fields",
    [
        {"revoked_at": rows.NOW},
        {"expires_at": moment(199)},
        {"purpose": Purpose.SHOP_FEED},
    ],
)
def test_a_link_that_does_not_hold_signs_nothing(fields) -> None:
    job = installed()
    with pytest.raises(NotAllowedError):
        sign(job, link=link(job, **fields))


def test_the_link_of_another_job_signs_nothing() -> None:
    job = installed()
    with pytest.raises(NotAllowedError):
        sign(job, link=link(rows.job("1002")))


def test_neither_another_crew_nor_a_member_signs() -> None:
    job = installed()
    with pytest.raises(models.Job.DoesNotExist):
        sign(job, rows.lead(rows.crew("Crew Birch")))
    with pytest.raises(NotAllowedError):
        sign(job, rows.person(Role.CREW_MEMBER, crew=rows.crew()))
