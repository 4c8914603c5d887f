"""Limits hold as often as they say."""

import numpy as np
import pytest

from crewjobs.domain.hours.conformal import adapted_share, limit_factor, student_factor

T_TABLE = {
    (0.9, 5): 1.476,
    (0.95, 10): 1.812,
    (0.975, 10): 2.228,
    (0.9, 30): 1.310,
    (0.995, 30): 2.750,
    (0.975, 34): 2.0322445,
}
"""Student's t as printed in any table; the last from the prediction interval of NIST's Norris."""


@pytest.mark.parametrize(("at", "value"), T_TABLE.items())
def test_students_t_as_in_the_tables(at, value):
    assert student_factor(*at) == pytest.approx(value, abs=2e-3)


@pytest.mark.parametrize("share", [0.8, 0.9])
def test_the_limit_is_met_as_often_as_it_says_whatever_the_shape(share):
    """Exchangeable residuals: coverage lies between the share and the share + 1 / (n + 1)."""
    rng = np.random.default_rng(3)
    met = []
    for _ in range(400):
        residuals = rng.exponential(1.0, 401) * 2 - 1
        limit = limit_factor(share, residuals[:400], np.ones(400))
        met.append(residuals[400] <= limit)
    error = np.sqrt(share * (1 - share) / len(met))
    assert abs(np.mean(met) - share) <= 3 * error + 0.01


def test_records_that_are_not_believed_move_nothing():
    sound = np.linspace(-1, 1, 50)
    both = np.concatenate([sound, np.full(10, 9.0)])
    weights = np.concatenate([np.ones(50), np.zeros(10)])
    assert limit_factor(0.9, both, weights) == limit_factor(0.9, sound, np.ones(50))


def test_a_miss_raises_the_aim_more_than_a_hit_lowers_it():
    assert adapted_share(0.9, 0.9, is_kept=False) - 0.9 == pytest.approx(0.009)
    assert 0.9 - adapted_share(0.9, 0.9, is_kept=True) == pytest.approx(0.001)


def test_the_aim_stays_within_its_limits():
    aim = 0.99
    for _ in range(100):
        aim = adapted_share(aim, 0.9, is_kept=False)
    assert aim == 0.995
