import datetime as dt
from math import isnan

import pytest

from crewjobs.domain.hours.accuracy import Pair, rows


def pair(crew="Red", month=6, actual_min=125.0, **fields) -> Pair:
    day = dt.date(2026, month, 3)
    known = {"p50_min": 100.0, "p80_min": 120.0, "p90_min": 130.0}
    return Pair(finished_on=day, crew=crew, actual_min=actual_min, **(known | fields))


def test_no_visits_no_rows():
    assert rows([]) == ()


def test_rows_come_for_all_then_crews_elements_and_months():
    found = rows([pair(element_pairs={"carry": (20.0, 25.0)}), pair("Blue", 7)])
    assert [(row.by, row.name) for row in found] == [
        *(("all", ""), ("crew", "Blue"), ("crew", "Red"), ("element", "carry")),
        *(("month", "2026-06"), ("month", "2026-07")),
    ]


def test_coverage_and_errors_by_hand():
    whole = rows([pair(actual_min=actual) for actual in (80.0, 100.0, 125.0, 200.0)])[0]
    assert whole.visits == 4
    assert (whole.kept80_share, whole.kept90_share) == (0.5, 0.75)
    assert whole.error_share == pytest.approx((0.25 + 0 + 0.2 + 0.5) / 4)
    assert whole.bias_share == pytest.approx((0 + 0.25) / 2)


def test_an_element_has_no_limits_to_keep():
    (row,) = (r for r in rows([pair(element_pairs={"carry": (20.0, 25.0)})]) if r.by == "element")
    assert row.error_share == pytest.approx(0.2)
    assert isnan(row.kept80_share)
