"""A probit of what came off, or stalled, against what was predicted; its mode by SciPy, its ranges by Laplace.

Of each trial the chance is Φ((x + b + the shifts of whatever took part)/σ): x is the logarithm of the predicted use,
b how far this railroad is off the model, σ the scatter. Before the first run b is normal about 0 with a deviation of
0.5, σ half-normal of 0.5, and each shift normal about 0. σ is fitted as its logarithm, so that its range is one of
factors. The logarithm of Φ is from scipy.special.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar
from scipy.special import log_ndtr, ndtr

__all__ = ["BIAS_DEVIATION", "SCATTER_DEVIATION", "Z90", "Fitted", "Posterior", "Shares", "fit"]

Floats = NDArray[np.float64]

BIAS_DEVIATION = SCATTER_DEVIATION = 0.5
Z90 = 1.6448536269514722
"""Half the width of a range that holds ninety per cent, in standard deviations."""
FLAT = 0.5 * np.log(2.0 * np.pi)
CLOSE, MODE_WITHIN = 1e-5, 1e-3
MOST_STEPS, LEAST_PART = 60, 1e-6
LOG_SCATTERS = (float(np.log(1e-3)), float(np.log(5.0)))
"""Between these σ is sought: no railroad is so even, nor so wild."""
BEYOND = 1e4
"""So steeply what is sought rises beyond them, that nothing is found there."""
LIKELY = (float(np.log(0.2)), float(np.log(0.35)))
"""Where the search for it begins."""
STEP, WIDEST = 0.05, 1.0
"""How far beside its mode the posterior of ln σ is looked at for its bend, and the most its variance may be."""


@dataclass(frozen=True)
class Shares:
    """Which shifts take part in each trial, and how much of each: both of shape (trials, most in one trial).

    `count` is how many shifts there are. A trial in which fewer take part has shares of 0 to fill its row.
    """

    shifts: NDArray[np.intp]
    parts: Floats
    count: int

    def usual(self, times: Floats) -> Floats:
        """How much of each shift takes part in a trial on average, each trial made so often, of shape (shifts,)."""
        parts = (self.parts * times[:, None]).ravel()
        whole: Floats = np.bincount(self.shifts.ravel(), weights=parts, minlength=self.count) / max(times.sum(), 1.0)
        return whole


class Posterior:
    """The logarithm of the posterior, less what does not change, of parameters (b, ln σ, shifts).

    `x` and `off` are of shape (trials,); `deviations` of shape (shifts,) says how widely each shift may lie. `times`
    says how often each trial was made, where not once.
    """

    def __init__(
        self, x: Floats, off: NDArray[np.bool_], shares: Shares, deviations: Floats, times: Floats | None = None
    ) -> None:
        self._x, self._sign = x, np.where(off, 1.0, -1.0)
        self._times = np.ones(len(x)) if times is None else times
        self._count = count = 1 + shares.count
        # b takes part in every trial
        ones = np.ones((1, len(x)))
        self._columns = np.concatenate((np.zeros((1, len(x)), dtype=np.intp), shares.shifts.T + 1))
        self._parts = np.concatenate((ones, shares.parts.T))
        pairs = [(one, other) for one in range(len(self._parts)) for other in range(one, len(self._parts))]
        self._pairs = [
            (self._columns[one] * count + self._columns[other], self._parts[one] * self._parts[other], one != other)
            for one, other in pairs
        ]
        self._precision = 1.0 / np.concatenate(([BIAS_DEVIATION], deviations)) ** 2
        self.size = 1 + count

    def terms(self, at: Floats) -> tuple[float, Floats, Floats]:
        """Value, gradient and Hessian, with b first, ln σ second and the shifts after them."""
        log_scatter, linear = at[1], np.delete(at, 1)
        scatter = np.exp(log_scatter)
        z = (self._x + (linear[self._columns] * self._parts).sum(axis=0)) / scatter
        turned = self._sign * z
        log_chance = log_ndtr(turned)
        ratio = np.exp(-0.5 * turned * turned - FLAT - log_chance)
        slope = self._times * self._sign * ratio
        bend = -self._times * ratio * (turned + ratio)
        wide = (scatter / SCATTER_DEVIATION) ** 2
        value = float(self._times @ log_chance - 0.5 * (self._precision * linear**2).sum() + log_scatter - 0.5 * wide)
        gradient = np.empty(self.size)
        rest = np.delete(np.arange(self.size), 1)
        gradient[rest] = self._summed(slope) / scatter - self._precision * linear
        gradient[1] = -(slope * z).sum() + 1.0 - wide
        hessian = np.empty((self.size, self.size))
        hessian[np.ix_(rest, rest)] = self._squared(bend) / scatter**2 - np.diag(self._precision)
        hessian[1, rest] = hessian[rest, 1] = self._summed(-(bend * z + slope)) / scatter
        hessian[1, 1] = (bend * z * z + slope * z).sum() - 2.0 * wide
        return value, gradient, hessian

    def _summed(self, of: Floats) -> Floats:
        """A figure of each trial summed up by b and each shift that takes part in it."""
        whole = np.bincount(self._columns.ravel(), weights=(of * self._parts).ravel(), minlength=self._count)
        return whole.astype(np.float64, copy=False)

    def _squared(self, of: Floats) -> Floats:
        """Likewise by every two of them, of shape (1 + shifts, 1 + shifts)."""
        whole = np.zeros((self._count, self._count))
        for number, part, twice in self._pairs:
            found = np.bincount(number, weights=of * part, minlength=self._count**2).reshape(whole.shape)
            whole += found + found.T if twice else found
        return whole

    def best(self, log_scatter: float, begin: Floats) -> tuple[Floats, float, Floats, Floats]:
        """The b and the shifts that are likeliest with a scatter, by Newton's rule, since all bends one way then.

        With them the value there, the Hessian of these alone with its sign turned, and its row for the scatter.
        """
        linear, rest = begin, np.delete(np.arange(self.size), 1)
        value, gradient, hessian = self.terms(np.insert(linear, 1, log_scatter))
        for _ in range(MOST_STEPS):
            bent = -hessian[np.ix_(rest, rest)]
            step = np.linalg.solve(bent, gradient[rest])
            gain = float(step @ gradient[rest])
            if gain < CLOSE:
                break
            part = 1.0
            while True:
                tried = self.terms(np.insert(linear + part * step, 1, log_scatter))
                if tried[0] >= value or part < LEAST_PART:
                    break
                part *= 0.5
            linear = linear + part * step
            value, gradient, hessian = tried
        return linear, value, -hessian[np.ix_(rest, rest)], hessian[1, rest]


@dataclass(frozen=True)
class Fitted:
    """The mode of (b, ln σ, shifts), of shape (parameters,), and the covariance around it."""

    mode: Floats
    covariance: Floats

    def range_of(self, share: Floats) -> tuple[float, float, float]:
        """Low, middle and high of a sum of parameters, each times its `share`, that hold ninety per cent."""
        middle, half = float(share @ self.mode), Z90 * float(np.sqrt(share @ self.covariance @ share))
        return middle - half, middle, middle + half

    def one(self, number: int) -> tuple[float, float, float]:
        """The same of one parameter."""
        return self.range_of(np.eye(len(self.mode))[number])

    def surely(self, number: int) -> float:
        """The chance that a parameter is below nothing."""
        return float(ndtr(-self.mode[number] / np.sqrt(self.covariance[number, number])))

    @cached_property
    def scatter(self) -> tuple[float, float, float]:
        """The scatter's."""
        low, middle, high = np.exp(self.one(1)).tolist()
        return low, middle, high

    def log_margin(self, deviations: float, shifts: Floats | None = None) -> tuple[float, float, float]:
        """The same of the logarithm of the margin at which the chance is that of so many deviations below even, with
        so much of each of the `shifts`."""
        share, scatter = self._share(shifts), float(np.exp(self.mode[1]))
        # a change of ln σ moves the margin by σ times as much; at the mode it is b, the shifts and so many σ
        middle = float(share @ self.mode) + deviations * scatter
        share[1] = deviations * scatter
        low, at_mode, high = self.range_of(share)
        return middle + low - at_mode, middle, middle + high - at_mode

    def deviations(self, log_margin: float, shifts: Floats | None = None) -> tuple[float, float, float]:
        """The same of how many deviations over even the chance is at a margin."""
        share, scatter = self._share(shifts), float(np.exp(self.mode[1]))
        middle = (float(share @ self.mode) - log_margin) / scatter
        share /= scatter
        share[1] = -middle
        low, at_mode, high = self.range_of(share)
        return middle + low - at_mode, middle, middle + high - at_mode

    def _share(self, shifts: Floats | None) -> Floats:
        return np.concatenate(([1.0, 0.0], np.zeros(len(self.mode) - 2) if shifts is None else shifts))


@dataclass(frozen=True)
class _At:
    """The likeliest b and shifts with a scatter, and how they change along with its logarithm."""

    log_scatter: float
    linear: Floats
    along: Floats


def fit(
    x: Floats,
    off: NDArray[np.bool_],
    shares: Shares,
    deviations: Sequence[float] | Floats,
    times: Floats | None = None,
) -> Fitted:
    """The mode of the posterior and the covariance of its parameters there, by Laplace's rule.

    b and the shifts are first taken out of the posterior by Laplace's rule for every σ, since a σ fitted along with
    dozens of shifts comes out too small; its own mode and range are those of what is left.
    """
    of = Posterior(x, off, shares, np.asarray(deviations, dtype=np.float64), times)
    last = _At(LIKELY[0], np.zeros(of.size - 1), np.zeros(of.size - 1))

    def left(log_scatter: float) -> float:
        nonlocal last
        asked, log_scatter = log_scatter, min(max(log_scatter, LOG_SCATTERS[0]), LOG_SCATTERS[1])
        # where the shifts go as the scatter changes is known from the last one, near enough to begin there
        begin = last.linear + (log_scatter - last.log_scatter) * last.along
        linear, value, bent, across = of.best(log_scatter, begin)
        last = _At(log_scatter, linear, np.asarray(np.linalg.solve(bent, across), dtype=np.float64))
        return -(value - 0.5 * float(np.linalg.slogdet(bent)[1])) + BEYOND * abs(asked - log_scatter)

    found = minimize_scalar(left, bracket=LIKELY, method="brent", tol=MODE_WITHIN)
    log_scatter = float(found.x)
    beside = [left(log_scatter + step) for step in (-STEP, STEP)]
    bend = (beside[0] + beside[1] - 2.0 * left(log_scatter)) / STEP**2
    variance = 1.0 / max(bend, 1.0 / WIDEST)
    linear = last.linear
    hessian = of.terms(np.insert(linear, 1, log_scatter))[2]
    rest = np.delete(np.arange(of.size), 1)
    alone = np.linalg.inv(-hessian[np.ix_(rest, rest)])
    along = alone @ hessian[rest, 1]
    covariance = np.empty((of.size, of.size))
    covariance[np.ix_(rest, rest)] = alone + variance * np.outer(along, along)
    covariance[1, rest] = covariance[rest, 1] = variance * along
    covariance[1, 1] = variance
    return Fitted(np.insert(linear, 1, log_scatter), covariance)
