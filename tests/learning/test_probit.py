"""The probit: its slopes against differences, its ranges against a sampler and against truths that are known."""

from __future__ import annotations

from functools import partial

import emcee  # type: ignore[import-untyped]
import numpy as np
import pytest
from scipy.optimize import approx_fprime
from scipy.stats import norm

from consist.learning.lessons import _shares
from consist.learning.probit import Posterior, Shares, fit

__all__: list[str] = []

COVERED = 0.85, 0.95
"""Of ranges that hold ninety per cent, over 200 railroads: three standard errors of a binomial."""


def _drawn(
    seed: int, trials: int, bias: float, scatter: float, shifts: tuple[list[float], list[float]]
) -> tuple[np.ndarray, np.ndarray, Shares]:
    chance = np.random.default_rng(seed)
    numbers = [chance.integers(len(each), size=trials) for each in shifts]
    x = chance.normal(np.log(0.4), 0.6, trials)
    z = x + bias + sum(np.array(each)[number] for each, number in zip(shifts, numbers, strict=True))
    off = chance.random(trials) < norm.cdf(z / scatter)
    return x, off, _shares(*((number, len(each)) for number, each in zip(numbers, shifts, strict=True)))


def _value(of: Posterior, at: np.ndarray) -> float:
    return of.terms(at)[0]


def _slope(of: Posterior, number: int, at: np.ndarray) -> float:
    return float(of.terms(at)[1][number])


def test_slope_and_bend_are_those_of_differences() -> None:
    x, off, shares = _drawn(1, 300, 0.2, 0.3, ([0.1, -0.2, 0.4], [0.0, 0.3]))
    of = Posterior(x, off, shares, np.array([0.35, 0.35, 0.35, 0.3, 0.3]))
    at = np.array([0.1, -1.0, 0.2, -0.1, 0.05, 0.3, -0.2])
    _, gradient, hessian = of.terms(at)
    assert gradient == pytest.approx(approx_fprime(at, partial(_value, of), 1e-6), rel=1e-4, abs=1e-3)
    for row, number in zip(hessian, range(7), strict=True):
        by_steps = approx_fprime(at, partial(_slope, of, number), 1e-6)
        assert row == pytest.approx(by_steps, rel=1e-4, abs=1e-2)


def test_the_value_is_that_of_the_densities_themselves() -> None:
    """By scipy.stats, which knows nothing of this: its normal, half of one for σ, and the step to its logarithm."""
    x, off, shares = _drawn(2, 50, 0.2, 0.3, ([0.1, -0.2], [0.0, 0.3]))
    deviations = np.array([0.35, 0.35, 0.3, 0.3])
    of = Posterior(x, off, shares, deviations)
    points = [np.array([0.1, -1.0, 0.2, -0.1, 0.3, -0.2]), np.array([-0.3, -0.2, 0.0, 0.4, 0.1, 0.1])]

    def by_hand(at: np.ndarray) -> float:
        linear = np.delete(at, 1)
        p = norm.cdf((x + linear[0] + linear[1:][shares.shifts].sum(axis=1)) / np.exp(at[1]))
        prior = float(np.sum(norm.logpdf(linear, 0.0, np.array([0.5, *deviations]))))
        half_normal = norm.logpdf(np.exp(at[1]), 0.0, 0.5) + at[1]
        return float(np.log(np.where(off, p, 1.0 - p)).sum() + prior + half_normal)

    one, other = points
    assert of.terms(one)[0] - of.terms(other)[0] == pytest.approx(by_hand(one) - by_hand(other), abs=1e-8)


def test_ranges_are_those_of_a_sampler() -> None:
    """emcee, which draws from the posterior itself, on a small log. Ends within a quarter of the range's width."""
    x, off, shares = _drawn(3, 400, 0.1, 0.35, ([0.3, -0.2], [0.1, 0.0, -0.3]))
    deviations = np.full(5, 0.35)
    of, fitted = Posterior(x, off, shares, deviations), fit(x, off, shares, deviations)

    def density(at: np.ndarray) -> float:
        return of.terms(at)[0] if -6.0 < at[1] < 2.0 else -np.inf

    chance = np.random.default_rng(7)
    begin = chance.multivariate_normal(fitted.mode, fitted.covariance, 24)
    sampler = emcee.EnsembleSampler(24, of.size, density)
    sampler._random = np.random.RandomState(7)
    sampler.run_mcmc(begin, 900)
    drawn = sampler.get_chain(discard=200, flat=True)
    for number in range(of.size):
        low, middle, high = fitted.one(number)
        ends = np.percentile(drawn[:, number], [5.0, 50.0, 95.0])
        assert np.max(np.abs(ends - (low, middle, high))) < 0.25 * (high - low), number
    margin = drawn[:, 0] + 2.326 * np.exp(drawn[:, 1])
    low, middle, high = fitted.log_margin(2.326)
    assert np.max(np.abs(np.percentile(margin, [5.0, 50.0, 95.0]) - (low, middle, high))) < 0.25 * (high - low)


def test_ninety_per_cent_ranges_hold_the_truth_nine_times_in_ten() -> None:
    """200 made-up railroads, whose truths are drawn from what is assumed before the first run."""
    chance = np.random.default_rng(11)
    held: dict[str, list[bool]] = {"bias": [], "scatter": [], "margin": [], "track": [], "cars": []}
    for seed in range(200):
        bias, scatter = chance.normal(0.0, 0.5), abs(chance.normal(0.0, 0.5))
        track, cars = chance.normal(0.0, 0.35, 5), chance.normal(0.0, 0.35, 12)
        x, off, shares = _drawn(1000 + seed, 2500, bias, scatter, (track.tolist(), cars.tolist()))
        fitted = fit(x, off, shares, np.full(17, 0.35))
        told = [("bias", fitted.one(0), bias), ("scatter", fitted.scatter, scatter)]
        told += [("margin", fitted.log_margin(2.326), bias + 2.326 * scatter)]
        told += [("track", fitted.one(2 + k), truth) for k, truth in enumerate(track)]
        told += [("cars", fitted.one(7 + k), truth) for k, truth in enumerate(cars)]
        for name, (low, _, high), truth in told:
            held[name].append(low <= truth <= high)
    shares_held = {name: np.mean(each) for name, each in held.items()}
    print(shares_held)
    assert all(COVERED[0] <= share <= COVERED[1] for share in shares_held.values()), shares_held


def test_without_a_trial_all_is_as_assumed_before() -> None:
    fitted = fit(np.zeros(0), np.zeros(0, bool), Shares(np.zeros((0, 1), np.intp), np.zeros((0, 1)), 1), [0.35])
    assert fitted.one(0) == pytest.approx((-0.8224, 0.0, 0.8224), abs=1e-3)
    assert fitted.one(2) == pytest.approx((-0.5757, 0.0, 0.5757), abs=1e-3)
