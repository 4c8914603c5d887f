import pytest

from crewjobs import snapshots
from crewjobs.actions import outbox, searching, stone
from crewjobs.domain import carrying
from crewjobs.domain.access import Answer
from crewjobs.domain.facts import RouteElement, RouteKind
from crewjobs.models import OutboxMessage, OutboxStatus, SearchedLimit
from tests import rows

pytestmark = pytest.mark.django_db
DOOR = RouteElement(
    kind=RouteKind.DOOR, name="kitchen door", width_mm=813, height_mm=2100, turn_deg=90,
    hall_mm=914, length_mm=4000, room_mm=2400, free_wall_mm=900, wall_mm=120,
)  # fmt: skip


def measured(job, *route):
    stone.replace_route(job_id=job.pk, route=route, by=rows.dispatcher(), now=rows.NOW)


def worked() -> list[str]:
    outbox.work(now=lambda: rows.NOW, limit=10)
    return list(
        OutboxMessage.objects.filter(kind=searching.SEARCH).values_list("status", flat=True)
    )


def top(job):
    facts = snapshots.job(job.pk)
    return carrying.verdict(facts, facts.work.pieces[0])


def test_a_door_into_a_small_room_is_searched_once_and_the_longer_piece_goes_in() -> None:
    rows.shop()
    job = rows.job()
    measured(job, DOOR)
    before = top(job)
    assert before.answer is Answer.TOO_LONG
    assert worked() == [OutboxStatus.SENT]
    found = SearchedLimit.objects.get()
    after = top(job)
    assert after.answer is Answer.FITS
    assert after.level_mm == (found.level_mm or 0) - 60 > before.level_mm
    measured(job, DOOR)
    measured(rows.job("1002", site=job.site), DOOR)
    assert worked() == [OutboxStatus.SENT]
    assert SearchedLimit.objects.count() == 1


def test_other_sizes_are_searched_anew_and_other_doors_not_at_all() -> None:
    rows.shop()
    job = rows.job()
    measured(job, RouteElement(kind=RouteKind.DOOR, width_mm=813, height_mm=2100))
    assert worked() == []
    measured(job, DOOR)
    worked()
    job.pieces.filter(name="A").update(thickness_mm=20)
    measured(job, DOOR)
    assert worked() == [OutboxStatus.SENT] * 2
    assert SearchedLimit.objects.count() == 2
