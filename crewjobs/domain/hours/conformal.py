"""Limits that hold as often as they say, from how far off earlier estimates were.

Knows standardized residuals and their weights; refuses to know what was estimated.
"""

from functools import cache
from statistics import NormalDist

import numpy as np

from crewjobs.domain.hours.robust import Array

PSEUDO = 199
"""How many residuals stand for the prior."""

PSEUDO_WORTH = 20.0
"""How many records the prior of the residuals is worth. Not measured; chosen on simulated shops."""

PRIOR_FREEDOM = 10.0
"""The degrees of freedom of the prior residuals; each sound record adds one."""

GAIN = 0.01
"""By how much one hit or miss moves the level that is aimed at."""

SKIP = 3.0
"""A residual beyond this many standard deviations is taken for a clock error, not for a miss."""

LEVELS = (0.5001, 0.995)
"""The level aimed at stays between these."""


def student_factor(level_share: float, freedom_factor: float) -> float:
    """The quantile of Student's t for 5 degrees of freedom or more, to three digits or better.

    References
    ----------
    Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.5.

    Examples
    --------
    >>> round(student_factor(0.9, 10), 3), round(student_factor(0.975, 34), 4)
    (1.372, 2.0322)
    """
    x = NormalDist().inv_cdf(level_share)
    g1 = (x**3 + x) / 4
    g2 = (5 * x**5 + 16 * x**3 + 3 * x) / 96
    g3 = (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384
    g4 = (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92160
    return (
        x
        + g1 / freedom_factor
        + g2 / freedom_factor**2
        + g3 / freedom_factor**3
        + g4 / freedom_factor**4
    )


def limit_factor(level_share: float, residuals: Array, weights: Array) -> float:
    """How many standard deviations above the median the limit of a level lies.

    With few records it is the prior's, with many that of the records themselves, each counted by
    its weight. The record to come stands at infinity, as far as records and not the prior speak.

    References
    ----------
    Weighted conformal prediction (Tibshirani, Barber, Candes and Ramdas, NeurIPS 32, 2019) on
    leave-one-out residuals (Barber, Candes, Ramdas and Tibshirani, Annals of Statistics 49, 2021,
    486-507).

    Examples
    --------
    >>> none = np.zeros(0)
    >>> round(limit_factor(0.9, none, none), 2)
    1.39
    """
    freedom_factor = PRIOR_FREEDOM + weights.sum()
    middles = (np.arange(PSEUDO) + 0.5) / PSEUDO
    pseudo = [student_factor(float(share), freedom_factor) for share in middles]
    values = np.concatenate([residuals, pseudo])
    worth = np.concatenate([weights, np.full(PSEUDO, PSEUDO_WORTH / PSEUDO)])
    order = np.argsort(values, kind="stable")
    to_come = weights.sum() / worth.sum()
    reached = np.cumsum(worth[order]) / (worth.sum() + to_come)
    place = min(int(np.searchsorted(reached, level_share)), len(values) - 1)
    return float(values[order][place])


def adapted_share(aim_share: float, level_share: float, *, is_kept: bool) -> float:
    """The level to aim at after one more record that kept its limit, or did not.

    References
    ----------
    Adaptive conformal inference (Gibbs and Candes, NeurIPS 34, 2021).

    Examples
    --------
    >>> [round(adapted_share(0.9, 0.9, is_kept=is_kept), 3) for is_kept in (False, True)]
    [0.909, 0.899]
    """
    least, most = LEVELS
    return min(most, max(least, aim_share + GAIN * (level_share - is_kept)))


@cache
def prior_factors() -> tuple[float, float]:
    """Where 80 and 90 % lie before any record.

    Examples
    --------
    >>> [round(factor, 2) for factor in prior_factors()]
    [0.88, 1.39]
    """
    none = np.zeros(0)
    return limit_factor(0.8, none, none), limit_factor(0.9, none, none)
