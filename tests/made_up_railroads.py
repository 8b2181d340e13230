"""Made-up railroads whose truth is known, and the runs that they log."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from consist.intake import LoggedRun, StretchUses

__all__ = ["Railroad"]

PLACES = tuple("ABCDEFG")


@dataclass(frozen=True)
class Railroad:
    """How far a railroad is off the model, its scatter, and what is wrong with its stretches and its cars."""

    bias: float = 0.0
    scatter: float = 0.3
    track: Mapping[int, float] = field(default_factory=dict)
    cars: Mapping[int, float] = field(default_factory=dict)
    engine: float = 0.0
    stretches: int = 6
    fleet: int = 30

    def runs(self, count: int, chance: np.random.Generator, riding: int = 10, spread: float = 0.5) -> list[LoggedRun]:
        """So many runs of cars drawn from the fleet, over all stretches.

        Where several come off in one run, the first of them alone is noted.
        """
        return [self._run(number, chance, riding, spread) for number in range(count)]

    def _run(self, number: int, chance: np.random.Generator, riding: int, spread: float) -> LoggedRun:
        cars = chance.permutation(self.fleet)[:riding]
        uses: NDArray[np.float64] = np.exp(chance.normal(np.log(0.2), spread, (self.stretches, riding)))
        of_track = np.array([self.track.get(k, 0.0) for k in range(self.stretches)])
        of_cars = np.array([self.cars.get(int(car), 0.0) for car in cars])
        logged = np.array([[float(f"{use:.4g}") for use in row] for row in uses])
        z = (np.log(logged) + self.bias + of_track[:, None] + of_cars) / self.scatter
        off = np.argwhere(chance.random(z.shape) < norm.cdf(z))
        power = float(np.exp(chance.normal(np.log(0.7), 0.3)))
        stalled = chance.random() < norm.cdf((np.log(power) + self.engine) / self.scatter)
        told = tuple(StretchUses(PLACES[k], PLACES[k + 1], tuple(row)) for k, row in enumerate(logged.tolist()))
        names = tuple((f"C {car}", 100.0) for car in cars)
        first = LoggedRun(str(number), "T", "clean", model=1, power_use=power, engines=("1",), cars=names, uses=told)
        if len(off):
            stretch, car = off[0].tolist()
            return LoggedRun(
                **{**vars(first), "what": "off", "car": names[car][0], "at": PLACES[stretch : stretch + 2]}
            )
        return LoggedRun(**{**vars(first), "what": "stalled"}) if stalled else first
