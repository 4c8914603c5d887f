"""A published end that moves with the hours: around the break, and of the last day alone."""

import pytest

from crewjobs import snapshots
from crewjobs.models import Visit
from tests import rows

pytestmark = pytest.mark.django_db


def read_shop(**fields):
    rows.shop(**fields)
    return snapshots.shop()


def placed(begins: float, ends: float, **fields):
    """On 3 June, hours in UTC; the shop's break is from 17:00 to 17:30 there."""
    return rows.placement(
        rows.visit(rows.job("1")), starts_at=rows.at(3, begins), ends_at=rows.at(3, ends), **fields
    )


@pytest.mark.parametrize(
    ("begins", "ends", "more_min", "moved_to"),
    [
        (14, 16, 30, 16.5),
        (14, 16, -30, 15.5),
        (14, 17, 0, 17),
        (14, 16.5, 30, 17),
        (14, 16.5, 45, 17.75),
        (14, 17.75, -15, 17),
        (14, 18, 15, 18.25),
        (14, 18, -45, 16.75),
        (17.5, 19, 30, 19.5),
        (14, 14.5, -90, 14 + 1 / 60),
    ],
)
def test_the_end_moves_by_worked_minutes(begins, ends, more_min, moved_to) -> None:
    found = snapshots.end_moved(placed(begins, ends), more_min, read_shop())
    assert found == rows.at(3, moved_to)


def test_a_shop_without_a_break_counts_every_minute() -> None:
    shop = read_shop(break_min=0)
    assert snapshots.end_moved(placed(14, 16.5), 60, shop) == rows.at(3, 17.5)


def test_of_several_days_the_last_one_moves() -> None:
    days = [(rows.at(3, 14), rows.at(3, 21)), (rows.at(4, 14), rows.at(4, 16))]
    parts = [
        {"starts_at": first.isoformat(), "ends_at": last.isoformat(), "drive_min": 10}
        for first, last in days
    ]
    place = placed(14, 40, parts=parts)
    assert snapshots.end_moved(place, 30, read_shop()) == rows.at(4, 16.5)


def test_a_plan_gives_whole_minutes_between_p50_and_p80() -> None:
    shop = read_shop()
    assert snapshots.planned_min(Visit(p50_min=180, p80_min=221), shop) == round(200.5)
    assert snapshots.planned_min(Visit(p50_min=0, p80_min=0), shop) == 1
