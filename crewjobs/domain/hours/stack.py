"""How two models of the same records are weighed, by how well each foretold what it had not seen.

Knows leave-one-out densities; refuses to know what the models are.
"""

from typing import NamedTuple

import numpy as np

from crewjobs.domain.hours.robust import Array, Fit, log_density

PRIOR_SHARE = 0.9
"""Not measured: how much the first model counts before any record."""

PRIOR_WORTH = 10.0
"""How many records that is worth."""

ROUNDS = 60

MOST_LEVERAGE = 0.95
"""A record that alone decides a coefficient is not taken out of it entirely."""


class LeftOut(NamedTuple):
    """What a fit without a record would have expected of it."""

    mean_log: Array
    variance: Array


def left_out(fit: Fit, response: Array) -> LeftOut:
    """The mean and variance of each record, as if it had been left out of the fit.

    References
    ----------
    The leverage identity of linear regression; the weights are held.
    """
    pull = np.clip(fit.weights / fit.variance * fit.solved.leverage, 0, MOST_LEVERAGE)
    residual = fit.residual / (1 - pull)
    return LeftOut(response - residual, fit.variance + fit.solved.leverage / (1 - pull))


def first_share(first: Array, second: Array, weights: Array) -> float:
    """How much the first of two models counts, given the logarithms of their densities.

    References
    ----------
    Stacking (Wolpert, Neural Networks 5, 1992, 241-259) with a Beta prior, by expectation and
    maximization.

    Examples
    --------
    >>> none = np.zeros(0)
    >>> first_share(none, none, none)
    0.9
    """
    odds = np.exp(np.clip(second - first, -12, 12))
    share = PRIOR_SHARE
    for _ in range(ROUNDS):
        belongs = share / (share + (1 - share) * odds)
        worth = PRIOR_WORTH + weights.sum()
        share = (PRIOR_WORTH * PRIOR_SHARE + (weights * belongs).sum()) / worth
    return float(share)


def mixed(share: float, first: LeftOut, second: LeftOut) -> LeftOut:
    """Both models' expectations, weighed."""
    rest = 1 - share
    return LeftOut(
        share * first.mean_log + rest * second.mean_log,
        share * first.variance + rest * second.variance,
    )


def densities(left: LeftOut, response: Array) -> Array:
    """The logarithm of the density of each record under what was expected of it."""
    return log_density(response - left.mean_log, left.variance)
