"""The shop learns from its finished visits, and its estimates follow."""

from datetime import timedelta

import pytest

from crewjobs import snapshots
from crewjobs.actions import errands, hours, learning, outbox, shops
from crewjobs.actions.errors import ConflictError, NotAllowedError
from crewjobs.domain.facts import Stage
from crewjobs.domain.hours import Model
from crewjobs.models import HoursModel, Learned, OutboxMessage, OutboxStatus, Visit
from tests import rows
from tests.app import on_site

pytestmark = pytest.mark.django_db
NOW = rows.NOW


def finished(number: int, share: float = 1.0, **fields) -> Visit:
    """A finished visit that took this share of its P50, a day after the one before."""
    visit = rows.visit(rows.job(f"F{number}", stage=Stage.SIGNED_OFF))
    rows.placement(visit)
    began = NOW - timedelta(days=100 - number)
    worked = {"actual_min": 150 * share, "progress_share": 1.0}
    ended = began + timedelta(minutes=150 * share)
    Visit.objects.filter(pk=visit.pk).update(
        **({"started_at": began, "finished_at": ended} | worked | fields)
    )
    return visit


def work_all() -> None:
    outbox.work(now=lambda: NOW, limit=50)


def open_visit() -> Visit:
    return rows.visit(rows.job("open", stage=Stage.READY))


@pytest.fixture(autouse=True)
def shop():
    return rows.shop()


def test_a_slow_shop_is_given_longer_hours() -> None:
    visit = open_visit()
    learning.refit(now=NOW)
    visit.refresh_from_db()
    before = visit.p50_min
    for number in range(30):
        finished(number, 2.0)
    assert learning.refit(now=NOW) == "model 2 learned from 30 visits"
    visit.refresh_from_db()
    assert visit.p50_min > 1.3 * before
    assert visit.hours_model == HoursModel.objects.first()
    assert sum(line["minutes"] for line in visit.hours_lines) == pytest.approx(visit.p50_min)


def test_nothing_new_makes_no_model() -> None:
    finished(1)
    learning.refit(now=NOW)
    assert learning.refit(now=NOW) == "model 1 holds"
    assert HoursModel.objects.count() == 1


def test_an_estimate_can_be_made_anew_from_the_stored_model() -> None:
    for number in range(12):
        finished(number, 1.4)
    learning.refit(now=NOW)
    row = HoursModel.objects.get()
    assert Model.from_json(row.content).to_json() == row.content


def test_what_the_office_excludes_is_not_learned_from() -> None:
    visit = finished(1, 9.0)
    finished(2)
    by = rows.dispatcher()
    learning.judge(visit_id=visit.pk, learned=Learned.EXCLUDED, by=by, now=NOW)
    work_all()
    assert HoursModel.objects.get().visits == 1
    assert OutboxMessage.objects.get(kind=learning.LEARN).status == OutboxStatus.SENT


def test_a_forgotten_clock_is_listed() -> None:
    for number in range(30):
        finished(number, 1 + 0.01 * (number % 5))
    odd = finished(31, 6.0)
    learning.refit(now=NOW)
    assert [each["name"] for each in HoursModel.objects.get().suspects] == [str(odd.pk)]


def test_what_is_judged_must_be_finished_and_the_office_judges() -> None:
    with pytest.raises(ConflictError):
        learning.judge(
            visit_id=open_visit().pk, learned=Learned.EXCLUDED, by=rows.dispatcher(), now=NOW
        )
    with pytest.raises(NotAllowedError):
        learning.judge(visit_id=finished(1).pk, learned=Learned.EXCLUDED, by=rows.lead(), now=NOW)


def test_other_standard_minutes_are_learned_anew() -> None:
    finished(1)
    learning.refit(now=NOW)
    changes = {"standard_minutes": {"seam.bond_min": 20.0}}
    shops.change(changes=changes, by=rows.dispatcher(), now=NOW)
    work_all()
    newest = HoursModel.objects.first()
    assert newest is not None
    assert Model.from_json(newest.content).standard == changes["standard_minutes"]


def test_an_errand_that_fails_is_tried_again(monkeypatch) -> None:
    def fails(*, now):
        raise ValueError(f"no such luck at {now:%H:%M}")

    monkeypatch.setattr(errands, "DO", {learning.LEARN: errands.Errand(act=fails)})
    learning.queue(cause="test", now=NOW)
    work_all()
    waiting = OutboxMessage.objects.get()
    assert (waiting.status, waiting.last_error) == (
        OutboxStatus.WAITING,
        "no such luck at 15:00",
    )
    assert OutboxMessage.objects.filter(next_at__gt=NOW).exists()


def test_the_days_sign_offs_are_learned_from_once_after_work() -> None:
    for minutes in (0, 30):
        learning.queue_tonight(now=NOW + timedelta(minutes=minutes))
    learning.queue_tonight(now=rows.at(2, 2))
    due = OutboxMessage.objects.order_by("due_at").values_list("due_at", flat=True)
    assert list(due) == [rows.at(2, 1), rows.at(3, 1)]


def test_what_reports_time_by_itself_is_learned_from() -> None:
    visit = on_site.planned()
    hours.refresh(visit.job, now=NOW)
    on_site.work_through(visit)
    [record] = snapshots.finished(rows.shop())
    assert record.element_minutes == {"arrive": 10}
    [told] = snapshots.foretold(rows.shop())
    [(title, (foretold_min, actual_min))] = told.pair.element_pairs.items()
    assert title == "Walk through the site and protect the floor"
    assert actual_min == 10
    assert 10 < foretold_min < told.pair.p50_min
