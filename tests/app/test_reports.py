"""Reports from the site: kept once, in any order, from whoever was there."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from crewjobs import models
from crewjobs.actions import hours, reports
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.domain.facts import HoldReason, Stage
from crewjobs.models import Role
from tests import rows
from tests.app import on_site
from tests.app.on_site import USUAL, K, moment, report, sent

pytestmark = pytest.mark.django_db

DERIVED = ("started_at", "finished_at", "progress_share", "live_finish_at", "live_finish_p80_at",
           "actual_min")  # fmt: skip


def state(visit: models.Visit) -> tuple[object, ...]:
    visit.refresh_from_db()
    visit.job.refresh_from_db()
    return (visit.job.stage, *(getattr(visit, name) for name in DERIVED))


def test_the_usual_day_ends_installed() -> None:
    visit = on_site.planned()
    on_site.work_through(visit)
    assert state(visit) == (
        Stage.INSTALLED,
        moment(5),
        moment(180),
        1,
        moment(180),
        moment(180),
        175,
    )
    assert not visit.reports.exclude(flag="").exists()


def test_an_arrival_puts_the_job_on_site_and_moves_the_finish() -> None:
    visit = on_site.planned()
    report(visit, K.ARRIVED, minute=20)
    assert state(visit) == (Stage.ON_SITE, moment(20), None, 0, moment(200), moment(240), None)


def test_what_is_done_brings_the_finish_nearer() -> None:
    visit, rests = on_site.planned(), []
    hours.refresh(visit.job, now=rows.NOW)
    for kind, about, minute in USUAL[:-1]:
        report(visit, kind, about, minute)
        visit.refresh_from_db()
        assert visit.live_finish_at is not None
        assert visit.live_finish_p80_at is not None
        assert moment(minute) <= visit.live_finish_at <= visit.live_finish_p80_at
        rests.append(visit.live_finish_at - moment(minute))
    assert max(rests) == rests[0]
    assert rests[-1] == dt.timedelta()


@pytest.mark.parametrize("step", [1, 3, 7])
def test_out_of_order_equals_in_order(step) -> None:
    first, second = on_site.planned("1001"), on_site.planned("1002")
    on_site.work_through(first)
    for place in range(len(USUAL)):
        kind, about, minute = USUAL[-1 - place * step % len(USUAL)]
        report(second, kind, about, minute, client_id=rows.uuid(place))
    assert state(first) == state(second)


def test_the_same_report_twice_changes_nothing() -> None:
    visit = on_site.planned()
    first = report(visit, K.ARRIVED)
    before = (state(visit), visit.version, visit.job.version, on_site.audited())
    again = report(visit, K.ARRIVED, now=moment(2000))
    assert again == first
    assert (state(visit), visit.version, visit.job.version, on_site.audited()) == before
    assert again.created_at == first.created_at


@pytest.mark.parametrize(
    "other",
    [
        {"happened_at": moment(1)},
        {"note": "another"},
        {"kind": K.LEFT},
        {"kind": K.PROBLEM, "about": "A"},
    ],
)
def test_another_report_under_the_same_id_is_a_conflict(other) -> None:
    visit = on_site.planned()
    kept = report(visit, K.ARRIVED)
    with pytest.raises(ConflictError, match="kept already, with another"):
        reports.add(visit_id=visit.pk, by=rows.lead(), now=moment(9), **(sent(K.ARRIVED) | other))
    assert list(visit.reports.all()) == [kept]


def test_the_same_id_for_another_visit_is_a_conflict() -> None:
    report(on_site.planned("1001"), K.ARRIVED)
    with pytest.raises(ConflictError):
        report(on_site.planned("1002"), K.ARRIVED)


@pytest.mark.realdb
@pytest.mark.django_db(transaction=True)
def test_phones_that_send_the_same_at_once_make_one_report() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer: DATABASE_URL names no PostgreSQL")
    visit, by, start = on_site.planned(), rows.lead(), Barrier(6)

    def send(_: int) -> object:
        start.wait()
        try:
            return report(visit, K.ARRIVED, by=by).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as phones:
        found = set(phones.map(send, range(6)))
    assert found == {visit.reports.get().pk}
    assert on_site.audited().count("visit.report") == 1


@pytest.mark.realdb
@pytest.mark.django_db(transaction=True)
def test_two_visits_racing_for_one_id_make_one_report_and_one_conflict() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer: DATABASE_URL names no PostgreSQL")
    visits, by, start = [on_site.planned("1001"), on_site.planned("1002")], rows.lead(), Barrier(2)

    def send(visit: models.Visit) -> str:
        start.wait()
        try:
            report(visit, K.ARRIVED, by=by)
        except ConflictError:
            return "conflict"
        finally:
            connection.close()
        return "kept"

    with ThreadPoolExecutor(2) as phones:
        assert sorted(phones.map(send, visits)) == ["conflict", "kept"]
    assert models.StatusReport.objects.count() == 1


def test_dispatch_may_report_and_another_crew_may_not() -> None:
    visit = on_site.planned()
    report(visit, K.ARRIVED, by=rows.dispatcher())
    other = rows.lead(rows.crew("Crew Birch"))
    with pytest.raises(models.Visit.DoesNotExist):
        report(visit, K.LEFT, minute=9, by=other)
    with pytest.raises(NotAllowedError):
        report(visit, K.LEFT, minute=9, by=rows.person(Role.READER))
    assert visit.reports.count() == 1


def test_a_visit_that_was_moved_meanwhile_takes_the_report_with_a_flag() -> None:
    visit = on_site.planned()
    visit.placements.update(withdrawn_at=rows.NOW)
    rows.placement(visit, crew=rows.crew("Crew Birch"))
    kept = report(visit, K.ARRIVED)
    assert kept.flag == "the visit is no longer this crew's"
    assert state(visit)[0] == Stage.ON_SITE


def test_a_cancelled_visit_takes_the_report_with_a_flag() -> None:
    visit = on_site.planned(cancelled_at=rows.NOW, cancel_reason="sold the house")
    models.Visit.objects.filter(pk=visit.pk).update(cancelled_at=rows.NOW)
    kept = report(visit, K.ARRIVED)
    assert kept.flag == "the visit was cancelled; the job is cancelled"
    assert state(visit)[:2] == (Stage.PLANNED, moment(0))


def test_a_time_in_the_future_is_refused_and_a_clock_that_is_ahead_is_flagged() -> None:
    visit = on_site.planned()
    with pytest.raises(InvalidError) as refused:
        report(visit, K.ARRIVED, minute=11, now=moment(0))
    assert refused.value.problems == {"/happened_at": "lies 11 minutes in the future, at most 10"}
    assert not models.StatusReport.objects.exists()
    assert report(visit, K.ARRIVED, minute=10, now=moment(0)).flag == "the phone's clock is ahead"


@pytest.mark.parametrize(
    ("kind", "about", "problem"),
    [
        (K.PIECE_SET, "", "say of which: A, B"),
        (K.PIECE_SET, "Z", "job 1001 has no such piece or seam: Z"),
        (K.PIECE_SET, "A-B", "job 1001 has no such piece or seam: A-B"),
        (K.SEAM_POURED, "A", "job 1001 has no such piece or seam: A"),
        (K.PROBLEM, "Z", "job 1001 has no such piece or seam: Z"),
    ],
)
def test_a_report_names_what_it_speaks_of(kind, about, problem) -> None:
    with pytest.raises(InvalidError) as refused:
        report(on_site.planned(), kind, about)
    assert refused.value.problems == {"/about": problem}
    assert on_site.audited() == []


def test_where_there_is_one_seam_and_one_sink_their_names_may_lack() -> None:
    visit = on_site.planned()
    seam, sink = report(visit, K.SEAM_POURED), report(visit, K.SINK_SET)
    assert (str(seam.seam), str(sink.piece)) == ("A-B", "A")


def test_a_job_that_nobody_called_ready_stays_and_the_report_says_why() -> None:
    visit = on_site.planned(stage=Stage.IN_FABRICATION)
    kept = report(visit, K.ARRIVED)
    assert kept.flag == "the job is in fabrication: nobody has said that it is ready"
    assert state(visit)[:2] == (Stage.IN_FABRICATION, moment(0))


def test_leaving_before_every_piece_is_set_does_not_install() -> None:
    visit = on_site.planned()
    on_site.work_through(visit, until=K.PIECE_SET)
    report(visit, K.LEFT, minute=70)
    stage, _, finished_at, share, live, _, actual_min = state(visit)
    assert (stage, finished_at, live, actual_min) == (Stage.ON_SITE, moment(70), moment(70), 65)
    assert isinstance(share, float)
    assert 0 < share < 1


def test_a_template_visit_that_is_left_makes_the_job_templated() -> None:
    rows.shop()
    visit = rows.visit(rows.job(), kind="template")
    rows.placement(visit)
    report(visit, K.ARRIVED)
    assert state(visit)[0] == Stage.BOOKED
    report(visit, K.LEFT, minute=50)
    assert state(visit)[0] == Stage.TEMPLATED


def test_a_site_that_is_not_ready_holds_the_job_once() -> None:
    visit = on_site.planned()
    report(visit, K.NO_GO, minute=5, note="no cabinets")
    report(visit, K.NO_GO, minute=6)
    hold = visit.job.holds.get()
    assert (hold.reason, hold.note) == (HoldReason.SITE_NOT_READY, "no cabinets")
    assert on_site.audited().count("job.hold") == 1
    assert report(visit, K.ARRIVED).flag == "the job is on hold: site not ready"


def test_the_customer_hears_of_a_crew_that_has_just_set_out() -> None:
    visit = on_site.planned()
    report(visit, K.ON_THE_WAY, minute=-30, now=moment(-29))
    assert models.OutboxMessage.objects.count() == 1


@pytest.mark.parametrize("late", [dt.timedelta(minutes=91)])
def test_a_late_word_that_the_crew_set_out_is_no_news(late) -> None:
    report(on_site.planned(), K.ON_THE_WAY, minute=-30, now=moment(-30) + late)
    assert not models.OutboxMessage.objects.exists()


def test_a_crew_that_is_there_is_no_longer_on_the_way() -> None:
    visit = on_site.planned()
    report(visit, K.ARRIVED)
    report(visit, K.ON_THE_WAY, minute=-30, now=moment(1))
    assert not models.OutboxMessage.objects.exists()


def test_a_day_without_reception_comes_in_one_go() -> None:
    visit = on_site.planned()
    gathered: list[reports.Sent] = [
        {"visit_id": visit.pk, **sent(*each)} for each in reversed(USUAL)
    ]
    lost = rows.visit(rows.job("1002"))
    gathered.insert(3, {"visit_id": visit.pk, **sent(K.PIECE_SET, "Z", 30)})
    gathered.append({"visit_id": lost.pk, **sent(K.ARRIVED, "", 1)})
    found = reports.add_many(by=rows.lead(), now=moment(600), reports=gathered)
    assert [each.client_id for each in found] == [each["client_id"] for each in gathered]
    assert [place for place, each in enumerate(found) if each.error] == [3, len(USUAL) + 1]
    assert isinstance(found[3].error, InvalidError)
    assert state(visit)[0] == Stage.INSTALLED
    again = reports.add_many(by=rows.lead(), now=moment(900), reports=gathered)
    assert [each.report for each in again] == [each.report for each in found]


def test_a_report_costs_no_more_queries_after_many_others() -> None:
    visit, counts = on_site.planned(), []
    report(visit, K.ARRIVED)
    for minute in range(1, 22):
        with CaptureQueriesContext(connection) as queries:
            report(visit, K.PROBLEM, "A", minute)
        counts.append(len(queries))
    assert counts[-1] == counts[0] < 40


def test_every_report_is_in_the_log_with_its_person_and_time() -> None:
    visit = on_site.planned()
    report(visit, K.ARRIVED, now=moment(33))
    moved, told = models.AuditEntry.objects.order_by("number")
    assert (moved.verb, moved.detail) == ("job.advance", {"before": "planned", "after": "on site"})
    assert (told.verb, told.by, told.at, told.job) == (
        "visit.report", rows.lead(), moment(33), visit.job,
    )  # fmt: skip
