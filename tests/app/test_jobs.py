"""A work order becomes a job; the job is changed, held, cancelled."""

import datetime as dt

import pytest

from crewjobs.actions import jobs, messages, outbox, stone, visits
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.actions.orders import (
    ContactEntry,
    CustomerEntry,
    Finish,
    HoursEntry,
    SiteEntry,
    VisitEntry,
    WindowEntry,
    WorkOrder,
)
from crewjobs.domain.facts import HoldReason, RouteElement, RouteKind, Stage, VisitKind
from crewjobs.models import AuditEntry, HoursKind, Job, OutboxMessage, Person, Role
from crewjobs.snapshots import job as facts_of
from tests import make, rows

pytestmark = pytest.mark.django_db
NOW = rows.NOW


def order(**fields) -> WorkOrder:
    kitchen = {
        "customer": CustomerEntry(name="Mara Linden", email="mara@example.test"),
        "site": SiteEntry(
            street="12 Harbor Lane",
            town="Alder Bay",
            lat=44.95,
            lon=-91.85,
            contacts=(ContactEntry(name="Ivo Berg", part="builder"),),
            hours=(
                HoursEntry(
                    kind=HoursKind.BUILDING, weekday=0, starts_at=dt.time(9), ends_at=dt.time(16)
                ),
            ),
        ),
        "work": make.work(),
        "finishes": {"A": Finish(material="quartz", edge_finish="eased")},
    }
    return WorkOrder(**(kitchen | fields))


def book(**fields) -> Job:
    rows.shop()
    return jobs.book(order=order(**fields), by=rows.dispatcher(), now=NOW)


def test_a_work_order_becomes_a_whole_job() -> None:
    job = book()
    fact = facts_of(job.pk)
    assert fact.work == make.work()
    assert job.number == "1001"
    assert job.pieces.get(name="A").material == "quartz"
    assert job.site.contacts.get().name == "Ivo Berg"
    assert job.site.time_zone == rows.ZONE
    visit = job.visits.get()
    assert visit.kind == VisitKind.INSTALL
    assert 0 < visit.p50_min < visit.p80_min < visit.p90_min
    assert sum(line["minutes"] for line in visit.hours_lines) == pytest.approx(
        visit.p50_min, abs=1e-6
    )
    assert visit.hands == 3
    assert AuditEntry.objects.get().verb == "job.book"


def test_an_order_without_sizes_gets_a_template_visit() -> None:
    job = book(work=make.work(pieces=(), seams=()), finishes={})
    assert sorted(job.visits.values_list("kind", flat=True)) == ["install", "template"]


def test_a_number_that_is_taken_is_refused_and_nothing_is_written() -> None:
    book(number="K-7")
    with pytest.raises(InvalidError) as refused:
        book(number="K-7")
    assert "/number" in refused.value.problems
    assert Job.objects.count() == 1


def test_numbers_step_over_those_that_are_taken() -> None:
    book(number="1001")
    assert book().number == "1002"


def test_an_unknown_skill_is_refused_by_its_pointer() -> None:
    with pytest.raises(InvalidError) as refused:
        book(visits=(VisitEntry(kind=VisitKind.INSTALL, skills=("juggling",)),))
    assert list(refused.value.problems) == ["/visits/0/skills"]
    assert not Job.objects.exists()


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW_MEMBER, Role.TEMPLATER, Role.READER])
def test_only_the_office_books(role) -> None:
    rows.shop()
    with pytest.raises(NotAllowedError):
        jobs.book(order=order(), by=rows.person(role), now=NOW)


def change(job: Job, by: Person | None = None, version: int | None = None, **changes) -> Job:
    return jobs.change(
        job_id=job.pk, changes=changes, version=version, by=by or rows.dispatcher(), now=NOW
    )


def test_a_change_raises_the_version_and_the_hours_follow() -> None:
    job = book()
    before = job.visits.get().p50_min
    after = change(job, version=job.version, tear_out_mm=6000.0)
    assert after.version == job.version + 1
    assert job.visits.get().p50_min > before


def test_a_change_of_an_old_version_is_refused() -> None:
    job = book()
    change(job, note="gate on the left")
    with pytest.raises(ConflictError):
        change(job, version=job.version, note="gate on the right")


def test_the_stage_is_no_column_to_edit() -> None:
    with pytest.raises(InvalidError):
        change(book(), stage="signed off")


def test_a_hold_is_placed_once_and_released() -> None:
    job, by = book(), rows.dispatcher()
    jobs.hold(job_id=job.pk, reason=HoldReason.PAYMENT_DUE, by=by, now=NOW)
    assert facts_of(job.pk).record.holds == (HoldReason.PAYMENT_DUE,)
    with pytest.raises(ConflictError):
        jobs.hold(job_id=job.pk, reason=HoldReason.PAYMENT_DUE, by=by, now=NOW)
    jobs.release(job_id=job.pk, reason=HoldReason.PAYMENT_DUE, by=by, now=NOW)
    assert facts_of(job.pk).record.holds == ()
    with pytest.raises(ConflictError):
        jobs.release(job_id=job.pk, reason=HoldReason.PAYMENT_DUE, by=by, now=NOW)


def test_cancelling_withdraws_what_was_published_and_tells() -> None:
    job = book()
    visit = job.visits.get()
    messages.visit_published(visit=visit, placement=rows.placement(visit), now=NOW)
    outbox.work(now=lambda: NOW, limit=10)
    jobs.cancel(job_id=job.pk, reason="sold the house", by=rows.dispatcher(), now=NOW)
    visit = job.visits.get()
    assert visit.cancelled_at == NOW
    assert visit.placement is None
    kinds = OutboxMessage.objects.filter(visit=visit, next_at__isnull=False).values_list("kind")
    assert [kind for (kind,) in kinds] == ["visit-cancelled"]


def test_new_sizes_keep_the_history_of_pieces_that_keep_their_name() -> None:
    job = book()
    kept = job.pieces.get(name="A").pk
    work = make.work(pieces=(make.piece("A", 2000), make.piece("C", 900)), seams=())
    stone.replace(job_id=job.pk, work=work, finishes={}, by=rows.dispatcher(), now=NOW)
    assert {p.name: p.pk for p in job.pieces.all()}["A"] == kept
    assert [p.name for p in job.pieces.all()] == ["A", "C"]
    assert job.pieces.get(name="A").material == "quartz"


def test_installed_stone_is_not_resized() -> None:
    job = book()
    Job.objects.filter(pk=job.pk).update(stage=Stage.INSTALLED)
    with pytest.raises(RefusedError):
        stone.replace(job_id=job.pk, work=make.work(), finishes={}, by=rows.dispatcher(), now=NOW)


def test_a_longer_way_in_takes_longer() -> None:
    job = book()
    before = job.visits.get().p50_min
    stairs = RouteElement(kind=RouteKind.STAIRS, steps=14)
    route = [*make.work().route, stairs, stairs]
    stone.replace_route(job_id=job.pk, route=route, by=rows.dispatcher(), now=NOW)
    assert job.visits.get().p50_min > before


def test_a_visit_keeps_the_hands_that_somebody_chose() -> None:
    job = book()
    visit = job.visits.get()
    visits.change(visit_id=visit.pk, changes={"hands": 2}, by=rows.dispatcher(), now=NOW)
    change(job, tear_out_mm=1000.0)
    visit.refresh_from_db()
    assert visit.hands == 2


def test_a_return_visit_about_one_piece_is_shorter() -> None:
    job = book()
    entry = VisitEntry(kind=VisitKind.RETURN)
    visit = visits.add(job_id=job.pk, entry=entry, pieces=["B"], by=rows.dispatcher(), now=NOW)
    install = job.visits.get(kind=VisitKind.INSTALL)
    assert 0 < visit.p50_min < install.p50_min
    with pytest.raises(InvalidError):
        visits.add(job_id=job.pk, entry=entry, pieces=["Z"], by=rows.dispatcher(), now=NOW)


def test_windows_end_after_they_start() -> None:
    visit = book().visits.get()
    window = WindowEntry(on=dt.date(2026, 6, 4), starts_at=dt.time(12), ends_at=dt.time(9))
    with pytest.raises(InvalidError):
        visits.set_windows(visit_id=visit.pk, windows=[window], by=rows.dispatcher(), now=NOW)


def test_only_a_published_visit_is_locked_or_confirmed() -> None:
    visit, by = book().visits.get(), rows.dispatcher()
    with pytest.raises(ConflictError):
        visits.lock(visit_id=visit.pk, is_locked=True, by=by, now=NOW)
    with pytest.raises(ConflictError):
        visits.confirm(visit_id=visit.pk, by=by, now=NOW)
    rows.placement(visit)
    assert visits.lock(visit_id=visit.pk, is_locked=True, by=by, now=NOW).is_locked
    assert visits.confirm(visit_id=visit.pk, by=by, now=NOW).customer_confirmed_at == NOW


def test_the_facts_of_a_job_take_as_many_queries_for_many_pieces(
    django_assert_num_queries, django_assert_max_num_queries
) -> None:
    small = book()
    with django_assert_max_num_queries(25) as counted:
        facts_of(small.pk)
    large = book(work=make.work(pieces=(*make.work().pieces, *(make.piece(c) for c in "CDEFGH"))))
    with django_assert_num_queries(len(counted.captured_queries)):
        facts_of(large.pk)
