"""When licensed trades may come, from the rows: foretold, reported, said by hand, told."""

from datetime import timedelta

import pytest

from crewjobs import models
from crewjobs.actions import shops, trades, visits
from crewjobs.domain.curing import CAUTION
from crewjobs.domain.facts import Trade
from crewjobs.domain.reminding import MessageKind
from crewjobs.snapshots import letters
from tests import rows
from tests.app import on_site
from tests.app.api.asking import api, at
from tests.app.on_site import K, moment
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


def leave(visit: models.Visit, **fields) -> models.TradeWork:
    return trades.leave(
        job_id=visit.job_id, trade=Trade.WATER, what="connect the tap", by=rows.lead(),
        now=rows.NOW, **fields,
    )  # fmt: skip


def told_at(work: models.TradeWork):
    work.refresh_from_db()
    return work.earliest_at


def test_it_is_foretold_from_the_planned_end_and_told_anew_by_the_reports() -> None:
    visit = on_site.planned()
    work = leave(visit)
    planned_end = visit.placements.get().ends_at
    assert told_at(work) == planned_end + DAY
    on_site.work_through(visit, until=K.SINK_SET)
    assert told_at(work) >= planned_end + DAY
    on_site.work_through(visit)
    assert told_at(work) == moment(150) + DAY
    assert not work.earliest_is_set


def test_nothing_is_foretold_without_a_place_and_with_one_taken_back() -> None:
    visit = on_site.planned()
    work = leave(visit)
    visits.withdraw(visit, now=rows.NOW)
    assert told_at(work) is None


def test_the_cold_of_the_site_counts() -> None:
    visit = on_site.planned(temperature_deg_c=0)
    work = leave(visit)
    assert told_at(work) == visit.placements.get().ends_at + 4 * DAY


def test_what_somebody_said_stays_until_it_is_taken_back() -> None:
    visit = on_site.planned()
    work, said_at = leave(visit, earliest_at=moment(9000)), moment(9000)
    on_site.work_through(visit)
    assert (told_at(work), work.earliest_is_set) == (said_at, True)
    trades.earliest(work_id=work.pk, earliest_at=None, by=rows.lead(), now=rows.NOW)
    assert (told_at(work), work.earliest_is_set) == (moment(150) + DAY, False)


def test_other_limits_of_the_shop_tell_it_anew() -> None:
    visit = on_site.planned()
    work = leave(visit)
    shops.change(
        changes={"limits": {"silicone_cure_min": 4320}}, by=rows.dispatcher(), now=rows.NOW
    )
    assert told_at(work) == visit.placements.get().ends_at + 3 * DAY


def test_work_that_is_done_is_left_alone() -> None:
    visit = on_site.planned()
    work = leave(visit)
    before = told_at(work)
    trades.done(work_id=work.pk, by=rows.lead(), now=rows.NOW)
    on_site.work_through(visit)
    assert told_at(work) == before


def test_the_api_says_what_cures_until_when_and_who_decides() -> None:
    visit = on_site.planned()
    ask, address = api(rows.dispatcher()), at(f"jobs/{visit.job_id}/curing/")
    assert ask.get(address).data["is_foretold"] is True
    on_site.work_through(visit)
    assert ask.get(address).data == {
        "adhesive_at": "2026-06-04T16:00:00Z",
        "silicone_at": "2026-06-04T16:30:00Z",
        "earliest_at": "2026-06-04T16:30:00Z",
        "is_foretold": False,
        "caution": CAUTION,
    }


def test_the_api_gives_a_word_by_hand_back_to_the_reports() -> None:
    visit = on_site.planned()
    work = leave(visit, earliest_at=moment(9000))
    answer = api(rows.lead()).put(
        at(f"trade-work/{work.pk}/earliest/"), {"earliest_at": None}, format="json"
    )
    assert answer.data["earliest_is_set"] is False
    assert told_at(work) == visit.placements.get().ends_at + DAY


@pytest.mark.parametrize("address", ["/jobs/{visit.job_id}/", "/visits/{visit.pk}/"])
def test_the_pages_say_it_with_the_caution(address) -> None:
    visit = on_site.planned()
    page = read(signed_in(rows.dispatcher()), address.format(visit=visit))
    is_well_made(page)
    assert "Thu 4 Jun 12:40" in page.text
    assert "foretold" in page.text
    assert CAUTION in page.text


def letter(job: models.Job, kind: MessageKind, **fields) -> str:
    message = models.OutboxMessage.objects.create(
        created_at=rows.NOW, kind=kind, channel="email", dedupe_key=str(kind), job=job,
        due_at=rows.NOW, next_at=rows.NOW, **fields,
    )  # fmt: skip
    found = letters.letter(message.pk, now=rows.NOW)
    assert isinstance(found, letters.Letter), found
    return found.body


def test_the_booking_and_the_thanks_name_the_moment_and_who_decides() -> None:
    visit = on_site.planned()
    leave(visit)
    begins_at = {"begins_at": rows.at(3, 14).isoformat()}
    booked = letter(visit.job, MessageKind.VISIT_BOOKED, visit=visit, payload=begins_at)
    visit.job.stage = "signed off"
    visit.job.save()
    for body in (booked, letter(visit.job, MessageKind.SIGNED_OFF)):
        assert "Thursday 4 June, 12:40 PM" in body
        assert "data sheets" in body
        assert "licensed" in body
