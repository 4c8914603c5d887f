"""Regression against certified values and worked cases, through the learner's own linear algebra.

Norris and Longley: NIST, Statistical Reference Datasets (StRD), linear regression, certified to 15
digits. The Bayesian case: formulas of Bishop, Pattern Recognition and Machine Learning (2006), 3.3,
worked out in 60 digits.
"""

import numpy as np
import pytest

from crewjobs.domain.hours.conformal import student_factor
from crewjobs.domain.hours.robust import solve

NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8
339.3 448.9 10.8 557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6
228.9 668.4 449.2 0.2"""
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9
338.0 447.5 11.6 556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3
229.2 669.1 448.9 0.5"""
LONGLEY = """60323 83.0 234289 2356 1590 107608 1947
61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949
61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951
63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953
63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955
67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957
66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959
69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961
70551 116.9 554894 4007 2827 130081 1962"""
LONGLEY_CERTIFIED = (
    *(-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683),
    *(-1.03322686717359, -0.0511041056535807, 1829.15146461355),
)
LONGLEY_ERRORS = (
    *(890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699),
    *(0.214274163161675, 0.226073200069370, 455.478499142212),
)


def numbers(text: str) -> np.ndarray:
    return np.array([[float(word) for word in line.split()] for line in text.splitlines()])


def least_squares(design, response, precision=1.0):
    free = np.full(design.shape[1], np.inf)
    return solve(design, response, np.full(len(response), precision), free)


def norris():
    x, y = (np.array([float(w) for w in text.split()]) for text in (NORRIS_X, NORRIS_Y))
    return np.column_stack([np.ones(36), x]), y


def test_norris_as_certified():
    design, y = norris()
    found = least_squares(design, y)
    assert found.mean == pytest.approx((-0.262323073774029, 1.00211681802045), rel=1e-10)
    spread = np.sqrt(((y - design @ found.mean) ** 2).sum() / 34)
    assert spread == pytest.approx(0.884796396144373, rel=1e-10)
    errors = spread * np.sqrt(np.diag(found.covariance))
    assert errors == pytest.approx((0.232818234301152, 0.000429796848199937), rel=1e-10)


@pytest.mark.parametrize(
    ("x", "leverage", "half_width"),
    [
        (10, 0.067283849, 1.857630241),
        (500, 0.029319128, 1.824291882),
        (1000, 0.10738019, 1.892202789),
    ],
)
def test_the_prediction_interval_of_norris(x, leverage, half_width):
    design, y = norris()
    found = least_squares(design, y)
    row = np.array([1.0, x])
    assert row @ found.covariance @ row == pytest.approx(leverage, rel=1e-7)
    width = student_factor(0.975, 34) * 0.884796396144373 * np.sqrt(1 + leverage)
    assert width == pytest.approx(half_width, rel=1e-5)


def test_longley_tells_a_sound_solver_from_a_weak_one():
    data = numbers(LONGLEY)
    design = np.column_stack([np.ones(16), data[:, 1:]])
    found = least_squares(design, data[:, 0])
    assert found.mean == pytest.approx(LONGLEY_CERTIFIED, rel=1e-9)
    assert found.mean[0] == pytest.approx(LONGLEY_CERTIFIED[0], rel=1e-10)
    errors = 304.854073561965 * np.sqrt(np.diag(found.covariance))
    assert errors == pytest.approx(LONGLEY_ERRORS, rel=1e-9)


X = np.array([[1.0, 1], [1, 2], [1, 3]])
Y = np.array([1.0, 2, 2])
TEN = np.array([10.0, 10.0])


def test_a_known_noise_and_a_normal_prior():
    found = solve(X, Y, np.full(3, 4.0), TEN)
    assert found.mean == pytest.approx((0.6419609, 0.5096781), abs=1e-7)
    expected = np.array([[0.5456668, -0.2334403], [-0.2334403, 0.1176928]])
    assert np.allclose(found.covariance, expected, atol=1e-7)
    row = np.array([1.0, 4])
    assert row @ found.mean == pytest.approx(2.6806731, abs=1e-7)
    assert 0.25 + row @ found.covariance @ row == pytest.approx(0.8112295, abs=1e-7)


def test_a_prior_of_ten_noises_is_a_ridge():
    ridge = np.linalg.solve(X.T @ X + 0.025 * np.eye(2), X.T @ Y)
    assert solve(X, Y, np.full(3, 4.0), TEN).mean == pytest.approx(ridge, rel=1e-12)


def test_no_records_leave_the_prior():
    found = solve(np.zeros((0, 2)), np.zeros(0), np.zeros(0), TEN)
    assert np.allclose(found.covariance, np.diag(TEN))
    assert np.allclose(found.mean, 0)


def test_a_wide_prior_is_least_squares():
    wide = solve(X, Y, np.full(3, 4.0), TEN * 1e12)
    assert wide.mean == pytest.approx(least_squares(X, Y).mean, rel=1e-9)


def test_one_record_after_the_other_is_all_at_once():
    precision, mean = np.diag(1 / TEN), np.zeros(2)
    for row, value in zip(X, Y, strict=True):
        new = precision + 4 * np.outer(row, row)
        mean = np.linalg.solve(new, precision @ mean + 4 * row * value)
        precision = new
    assert solve(X, Y, np.full(3, 4.0), TEN).mean == pytest.approx(mean, rel=1e-12)
