"""Open items, and work left to licensed trades."""

import pytest

from crewjobs import models
from crewjobs.actions import items, trades
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.domain.facts import Trade
from crewjobs.models import Role
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db


def opened(visit: models.Visit, by: models.Person | None = None, what: str = "a chip"):
    return items.open(job_id=visit.job_id, what=what, by=by or rows.lead(), now=rows.NOW)


def test_an_item_is_opened_accepted_and_closed() -> None:
    item = opened(on_site.planned(), what=" a chip ")
    items.accept(item_id=item.pk, by=rows.lead(), now=rows.NOW)
    items.close(item_id=item.pk, by=rows.lead(), now=rows.NOW)
    item.refresh_from_db()
    assert (item.what, item.is_accepted, item.closed_by) == ("a chip", True, rows.lead())
    assert on_site.audited() == ["item.open", "item.accept", "item.close"]


def test_a_closed_item_is_not_closed_or_accepted_again() -> None:
    item = opened(on_site.planned())
    items.close(item_id=item.pk, by=rows.lead(), now=rows.NOW)
    for verb in (items.close, items.accept):
        with pytest.raises(ConflictError):
            verb(item_id=item.pk, by=rows.lead(), now=rows.NOW)


@pytest.mark.parametrize("what", ["  ", "x" * 201])
def test_an_item_says_something_short(what) -> None:
    visit = on_site.planned()
    with pytest.raises(InvalidError):
        opened(visit, what=what)
    with pytest.raises(InvalidError):
        trades.leave(job_id=visit.job_id, trade=Trade.GAS, what=what, by=rows.lead(), now=rows.NOW)
    assert on_site.audited() == []


def test_the_crew_on_the_job_may_and_others_may_not() -> None:
    visit = on_site.planned()
    member = rows.person(Role.CREW_MEMBER, crew=rows.crew())
    item = opened(visit, member)
    opened(visit, rows.dispatcher())
    with pytest.raises(NotAllowedError):
        items.accept(item_id=item.pk, by=member, now=rows.NOW)
    stranger = rows.lead(rows.crew("Crew Birch"))
    with pytest.raises(models.Job.DoesNotExist):
        opened(visit, stranger)
    with pytest.raises(models.Job.DoesNotExist):
        items.close(item_id=item.pk, by=stranger, now=rows.NOW)


def test_a_trade_is_told_when_it_may_come_and_done_once() -> None:
    visit = on_site.planned()
    work = trades.leave(
        job_id=visit.job_id, trade=Trade.WATER, what="tap", by=rows.lead(), now=rows.NOW
    )
    trades.earliest(work_id=work.pk, earliest_at=rows.at(4, 14), by=rows.lead(), now=rows.NOW)
    trades.done(work_id=work.pk, by=rows.dispatcher(), now=rows.at(4, 16))
    work.refresh_from_db()
    assert (work.earliest_at, work.done_at) == (rows.at(4, 14), rows.at(4, 16))
    with pytest.raises(ConflictError):
        trades.done(work_id=work.pk, by=rows.dispatcher(), now=rows.at(4, 17))
    assert on_site.audited() == ["trade.leave", "trade.earliest", "trade.done"]
