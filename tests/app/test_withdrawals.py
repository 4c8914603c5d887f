"""A withdrawn report stays to be read, and all is as if it had never been sent."""

from itertools import permutations

import pytest

from crewjobs import models, snapshots
from crewjobs.actions import messages, reports, trades, withdrawals
from crewjobs.actions.errors import InvalidError, NotAllowedError
from crewjobs.domain.facts import Stage, Trade
from crewjobs.models import Hold, Learned, OutboxMessage, OutboxStatus, Role, Visit
from tests import rows
from tests.app import on_site
from tests.app.api.asking import api, at
from tests.app.on_site import USUAL, K, moment, report, sent
from tests.app.test_reports import state
from tests.app.web.pages import is_well_made, read, signed_in

pytestmark = pytest.mark.django_db


def withdraw(row: models.StatusReport, **fields) -> models.StatusReport:
    told = {"reason": "sent to the wrong visit", "by": rows.lead(), "now": moment(300)}
    return withdrawals.withdraw(report_id=row.pk, **(told | fields))


def the(visit: Visit, kind: K, about: str = "") -> models.StatusReport:
    found = visit.reports.filter(kind=kind)
    return found.get(piece__name=about) if about else found.get()


@pytest.mark.parametrize("place", range(len(USUAL)), ids=[kind for kind, _, _ in USUAL])
def test_all_is_as_if_it_had_never_been_sent(place) -> None:
    visit, other = on_site.planned("1001"), on_site.planned("1002")
    for number, (each, about, minute) in enumerate(USUAL):
        kept = report(visit, each, about, minute)
        if number == place:
            wrong = kept
        else:
            report(other, each, about, minute, client_id=rows.uuid(number))
    withdraw(wrong)
    assert state(visit) == state(other)


def test_a_visit_that_ended_by_it_is_open_again_and_the_job_on_site() -> None:
    visit = on_site.planned()
    for kind, about, minute in USUAL[:-2]:
        report(visit, kind, about, minute)
    left = report(visit, K.LEFT, minute=180)
    assert state(visit)[0] == Stage.INSTALLED
    withdraw(left)
    assert state(visit)[:4] == (Stage.ON_SITE, moment(5), None, pytest.approx(visit.progress_share))
    assert visit in Visit.objects.open()
    assert visit.actual_min is None


def test_the_only_report_leaves_the_visit_as_it_was_planned() -> None:
    visit = on_site.planned()
    before = state(visit)
    withdraw(report(visit, K.ARRIVED))
    assert state(visit) == before


def test_a_job_goes_back_from_templated_but_not_from_what_the_office_said() -> None:
    for number, said in (("1", Stage.TEMPLATED), ("2", Stage.IN_FABRICATION)):
        rows.shop()
        job = rows.job(number)
        visit = rows.visit(job, "template")
        rows.placement(visit)
        report(visit, K.ARRIVED, client_id=rows.uuid(int(number)))
        left = report(visit, K.LEFT, minute=30, client_id=rows.uuid(10 + int(number)))
        job.refresh_from_db()
        assert job.stage == Stage.TEMPLATED
        models.Job.objects.filter(pk=job.pk).update(stage=said)
        withdraw(left)
        job.refresh_from_db()
        assert job.stage == (Stage.BOOKED if said is Stage.TEMPLATED else said)


def test_a_signed_job_stays_signed() -> None:
    visit = on_site.planned()
    on_site.work_through(visit)
    models.Job.objects.filter(pk=visit.job_id).update(stage=Stage.SIGNED_OFF)
    withdraw(the(visit, K.LEFT))
    assert state(visit)[0] == Stage.SIGNED_OFF


def test_twice_is_once_and_the_first_reason_stands() -> None:
    visit = on_site.planned()
    row = withdraw(report(visit, K.ARRIVED))
    again = withdraw(row, reason="another", by=rows.dispatcher(), now=moment(900))
    assert (again.withdrawn_reason, again.withdrawn_at) == ("sent to the wrong visit", moment(300))
    assert again.withdrawn_by == rows.lead()
    assert on_site.audited().count("report.withdraw") == 1


def test_the_phone_that_sends_it_again_does_not_bring_it_back() -> None:
    visit = on_site.planned()
    withdraw(report(visit, K.ARRIVED))
    again = reports.add(visit_id=visit.pk, by=rows.lead(), now=moment(400), **sent(K.ARRIVED))
    assert again.withdrawn_at is not None
    assert state(visit)[1] is None


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201])
def test_a_reason_is_asked_for(reason) -> None:
    row = report(on_site.planned(), K.ARRIVED)
    with pytest.raises(InvalidError):
        withdraw(row, reason=reason)
    row.refresh_from_db()
    assert row.withdrawn_at is None


def test_the_office_and_the_sender_may_and_nobody_else() -> None:
    visit = on_site.planned()
    mate = rows.person(Role.CREW_MEMBER, "A mate", crew=rows.crew())
    stranger = rows.lead(rows.crew("Crew Birch"))
    reader = rows.person(Role.READER)
    row = report(visit, K.ARRIVED, by=mate)
    for who, error in (
        (rows.lead(), NotAllowedError),
        (stranger, Visit.DoesNotExist),
        (reader, NotAllowedError),
    ):
        with pytest.raises(error):
            withdraw(row, by=who)
    assert withdraw(row, by=mate).withdrawn_by == mate
    other = report(visit, K.ARRIVED, minute=3, by=mate)
    assert withdraw(other, by=rows.dispatcher()).withdrawn_by == rows.dispatcher()


def test_the_hold_that_it_placed_goes_unless_another_says_the_same() -> None:
    visit = on_site.planned()
    first, second = (report(visit, K.NO_GO, minute=minute) for minute in (10, 20))
    withdraw(second)
    assert Hold.objects.filter(released_at__isnull=True).count() == 1
    withdraw(first)
    assert not Hold.objects.filter(released_at__isnull=True).exists()
    assert on_site.audited()[-2:] == ["job.release", "report.withdraw"]


def test_a_hold_that_the_office_placed_stays() -> None:
    visit = on_site.planned()
    Hold.objects.create(
        created_at=rows.NOW, job=visit.job, reason="site not ready", placed_by=rows.dispatcher()
    )
    withdraw(report(visit, K.NO_GO, minute=10))
    assert Hold.objects.filter(released_at__isnull=True).count() == 1


def test_nothing_is_learned_from_a_visit_that_is_open_again() -> None:
    visit = on_site.planned()
    on_site.work_through(visit)
    assert len(list(snapshots.finished(rows.shop()))) == 1
    withdraw(the(visit, K.LEFT))
    assert not list(snapshots.finished(rows.shop()))
    assert OutboxMessage.objects.filter(kind="learn").count() == 1


def test_a_withdrawn_no_go_lets_the_visit_be_learned_from() -> None:
    visit = on_site.planned()
    wrong = report(visit, K.NO_GO, minute=1)
    on_site.work_through(visit)
    assert not Visit.objects.learned_from().exists()
    withdraw(wrong)
    assert Visit.objects.learned_from().get() == visit
    assert visit.learned == Learned.COUNTED


def test_the_word_that_the_crew_comes_is_held_back_and_may_be_said_anew() -> None:
    visit = on_site.planned()
    kept = report(visit, K.ON_THE_WAY, minute=-30, now=moment(-30))
    withdraw(kept, now=moment(-29))
    assert [m.status for m in OutboxMessage.objects.all()] == [OutboxStatus.SUPERSEDED]
    messages.on_the_way(visit=visit, now=moment(-10))
    assert OutboxMessage.objects.waiting().count() == 1


def test_when_the_trades_may_come_is_told_anew() -> None:
    visit = on_site.planned()
    work = trades.leave(
        job_id=visit.job_id, trade=Trade.WATER, what="the tap", by=rows.lead(), now=rows.NOW
    )
    on_site.work_through(visit)
    work.refresh_from_db()
    assert work.earliest_at == moment(150 + 24 * 60)
    withdraw(the(visit, K.SILICONE_DONE))
    work.refresh_from_db()
    assert work.earliest_at == moment(180 + 24 * 60)


def test_the_api_withdraws_once_and_says_who_may() -> None:
    visit = on_site.planned()
    row = report(visit, K.ARRIVED)
    address = at(f"reports/{row.pk}/withdraw/")
    why = {"reason": "wrong visit"}
    assert api(rows.person(Role.READER)).post(address, why, format="json").status_code == 403
    stranger = rows.lead(rows.crew("Crew Birch"))
    assert api(stranger).post(address, why, format="json").status_code == 404
    assert api(rows.lead()).post(address, {}, format="json").status_code == 400
    for _ in range(2):
        answer = api(rows.lead()).post(address, why, format="json")
        assert (answer.status_code, answer.data["withdrawn_reason"]) == (200, "wrong visit")
    listed = api(rows.lead()).get(at(f"visits/{visit.pk}/reports/")).data
    assert [each["withdrawn_by"] for each in listed] == [rows.lead().pk]


def test_the_visit_s_page_withdraws_and_shows_what_is_withdrawn() -> None:
    visit = on_site.planned()
    row = report(visit, K.ARRIVED)
    client, page_at = signed_in(rows.lead()), f"/visits/{visit.pk}/"
    page = read(client, page_at)
    is_well_made(page)
    address = f"{page_at}reports/{row.pk}/withdraw/"
    assert address in page.html
    assert client.post(address, {"reason": " "}).status_code == 422
    assert client.post(address, {"reason": "wrong visit"}).status_code == 302
    page = read(client, page_at)
    is_well_made(page)
    assert "wrong visit" in page.text
    assert address not in page.html
    is_well_made(read(client, f"/jobs/{visit.job_id}/"))


def test_a_page_of_another_visit_does_not_withdraw_it() -> None:
    first, second = on_site.planned("1"), on_site.planned("2")
    row = report(first, K.ARRIVED)
    client = signed_in(rows.lead())
    answer = client.post(f"/visits/{second.pk}/reports/{row.pk}/withdraw/", {"reason": "x"})
    assert answer.status_code == 404
    row.refresh_from_db()
    assert row.withdrawn_at is None


@pytest.mark.parametrize(
    "pair", list(permutations((K.LEFT, K.REVIEWED, K.SILICONE_DONE), 2)), ids=str
)
def test_the_order_of_withdrawing_does_not_matter(pair) -> None:
    first, second = on_site.planned("1"), on_site.planned("2")
    for visit, kinds in ((first, pair), (second, pair[::-1])):
        for number, (kind, about, minute) in enumerate(USUAL):
            report(visit, kind, about, minute, client_id=rows.uuid(number + 100 * (visit == first)))
        for kind in kinds:
            withdraw(the(visit, kind))
    assert state(first) == state(second)
