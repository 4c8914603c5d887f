"""The invented shops are what the bench says they are."""

import numpy as np
import pytest

from tests.bench.shops import FAMILIES, Chore, Kind, Shop, worked

GLUE, WAIT = FAMILIES["glue"], FAMILIES["chemistry"]


def test_free_people_work_while_adhesive_hardens():
    chores = [Chore(GLUE, 2, 10, ()), Chore(WAIT, 0, 12, (0,)), Chore(GLUE, 1, 5, (0,))]
    assert worked(chores, [10, 12, 5], 2, range(3)) == 22


def test_one_person_does_one_thing_after_the_other():
    chores = [Chore(GLUE, 1, 10, ()), Chore(GLUE, 1, 5, ())]
    assert worked(chores, [10, 5], 1, range(2)) == 15


def test_a_seed_is_a_shop():
    one, two = (Shop(3, Kind()) for _ in range(2))
    assert one.job(0) == two.job(0)
    assert one.true_min(one.job(1), 3).tolist() == two.true_min(two.job(1), 3).tolist()


def test_a_tenth_of_the_clocks_is_wrong():
    shop = Shop(4, Kind())
    wrong = [shop.clock_min(180.0)[1] for _ in range(2000)]
    assert np.mean(wrong) == pytest.approx(0.10, abs=0.02)


def test_jobs_take_from_one_to_eight_hours():
    shop = Shop(5, Kind())
    minutes = [shop.true_min(shop.job(number))[0] for number in range(200)]
    low, high = np.quantile(minutes, (0.05, 0.95))
    assert 40 <= low < high <= 600
