"""A linear model with a prior, some of whose records are plainly wrong.

Knows columns in groups that share one spread, and records that are either sound or a gross error;
refuses to know what the columns stand for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log, pi, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GROSS_MEAN_LOG = 0.25
"""Not measured: clocks forgotten when leaving outweigh those stopped early."""

GROSS_LOG = 0.9
"""Not measured: the spread of gross errors; some ten hours too long to a fifth of the truth."""

GROSS_PRIOR = (1.0, 12.0)
"""A Beta prior of how many records are grossly wrong, worth 13 records. Not measured."""

GROSS_LIMITS = (0.005, 0.35)
"""No shop's clock is believed to be better or worse than this."""

JOB_PRIOR = (10.0, 0.18)
"""How many records the prior of their spread is worth, and that spread. Not measured."""

STEPS = 6
"""How often spreads and weights are estimated in turn for one linearization."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """Columns whose coefficients come from one normal distribution about 0."""

    columns: slice
    prior_log: float
    """Its standard deviation before any record."""
    worth_factor: float = inf
    """How many coefficients that is worth; without end if it is fixed."""


class Solved(NamedTuple):
    """The posterior of a linear model with known spreads."""

    mean: Array
    covariance: Array
    leverage: Array
    """Of each row: the variance that the coefficients leave to its mean."""


def solve(design: Array, response: Array, precision: Array, prior_variance: Array) -> Solved:
    """The posterior mean and covariance of the coefficients.

    An infinite prior variance leaves a coefficient free, which gives weighted least squares.

    References
    ----------
    Bayesian linear regression by a QR factorization of the weighted records above the prior
    (Golub and Van Loan, Matrix Computations, 4th ed. 2013, section 5.3).

    Examples
    --------
    >>> x = np.array([[1.0, 0], [1, 1], [1, 2], [1, 3]])
    >>> free = np.array([np.inf, np.inf])
    >>> found = solve(x, np.array([0.0, 1, 1, 2]), np.ones(4), free)
    >>> [round(float(value), 12) for value in found.mean]
    [0.1, 0.6]
    """
    root = np.sqrt(precision)
    stacked = np.vstack([design * root[:, None], np.diag(1 / np.sqrt(prior_variance))])
    q, r = np.linalg.qr(stacked)
    inverse = np.linalg.solve(r, np.eye(len(r)))
    rows = len(response)
    mean = np.linalg.solve(r, q[:rows].T @ (response * root))
    return Solved(mean, inverse @ inverse.T, ((design @ inverse) ** 2).sum(1))


@dataclass(frozen=True, kw_only=True, slots=True)
class Spreads:
    """Standard deviations that a fit estimates, and how many records it takes to be wrong."""

    groups_log: tuple[float, ...]
    """Of the coefficients of each group."""
    job_log: float = 0.18
    """Of a sound record about its mean, without what its tasks add. Not measured."""
    gross_share: float = 0.05


class Rows(NamedTuple):
    """Records to be explained."""

    design: Array
    response: Array
    tasks_variance: Array
    """What is known of each record's own variance."""
    is_sound: NDArray[np.bool_]
    """Records that are believed whatever they say."""


class Fit(NamedTuple):
    """A fit with the weight of each record: the probability that it is sound."""

    solved: Solved
    weights: Array
    variance: Array
    """Of a sound record about its mean."""
    residual: Array
    spreads: Spreads


def fit(rows: Rows, *, groups: Sequence[Group], start: Spreads, weights: Array) -> Fit:
    """Coefficients, spreads and weights that agree with each other, from a first guess on.

    References
    ----------
    Empirical Bayes by expectation and maximization (Dempster, Laird and Rubin, Journal of the Royal
    Statistical Society B 39, 1977, 1-38) over a mixture of sound and gross records.
    """
    design, response, spreads = rows.design, rows.response, start
    for _ in range(STEPS):
        variance = spreads.job_log**2 + rows.tasks_variance
        solved = solve(design, response, weights / variance, _prior(design, groups, spreads))
        residual = response - design @ solved.mean
        spreads = Spreads(
            groups_log=tuple(
                _group_log(group, solved, usual_log)
                for group, usual_log in zip(groups, spreads.groups_log, strict=True)
            ),
            job_log=_job_log(spreads.job_log, residual**2 + solved.leverage, variance, weights),
            gross_share=_gross_share(weights),
        )
        weights = _sound(rows, residual, variance + solved.leverage, spreads.gross_share)
    return Fit(solved, weights, variance, residual, spreads)


def _prior(design: Array, groups: Sequence[Group], spreads: Spreads) -> Array:
    """The prior variance of each column."""
    found = np.empty(design.shape[1])
    for group, spread_log in zip(groups, spreads.groups_log, strict=True):
        found[group.columns] = spread_log**2
    return found


def _sound(rows: Rows, residual: Array, variance: Array, gross_share: float) -> Array:
    """The probability that each record is sound."""
    sound = np.log1p(-gross_share) + log_density(residual, variance)
    gross: Array = log(gross_share) + log_density(residual - GROSS_MEAN_LOG, np.array(GROSS_LOG**2))
    odds: Array = np.exp(np.clip(gross - sound, -50, 50))
    return np.where(rows.is_sound, 1.0, 1 / (1 + odds))


def log_density(residual: Array, variance: Array) -> Array:
    """The logarithm of the normal density about 0."""
    density: Array = -0.5 * (residual**2 / variance + np.log(2 * pi * variance))
    return density


def _group_log(group: Group, solved: Solved, usual_log: float) -> float:
    """The spread of a group's coefficients, between its prior and what the records say."""
    if group.worth_factor == inf:
        return usual_log
    squares = solved.mean[group.columns] ** 2 + np.diag(solved.covariance)[group.columns]
    worth = group.worth_factor
    return sqrt((worth * group.prior_log**2 + squares.sum()) / (worth + len(squares)))


def _job_log(job_log: float, squares: Array, variance: Array, weights: Array) -> float:
    """The spread of sound records beside the part that their tasks explain."""
    share = job_log**2 / variance
    own = share**2 * squares + job_log**2 * (1 - share)
    worth, prior_log = JOB_PRIOR
    return sqrt((worth * prior_log**2 + (weights * own).sum()) / (worth + weights.sum()))


def _gross_share(weights: Array) -> float:
    least, most = GROSS_LIMITS
    wrong, all_worth = GROSS_PRIOR[0], sum(GROSS_PRIOR)
    return float(np.clip(((1 - weights).sum() + wrong) / (len(weights) + all_worth), least, most))
