"""Cars and engines drawn at random: light next to heavy, on trucks or four wheels, coupled on either, strong or not.

Sizes are HO's, taken to the scale by ratio, weights by the square of it.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from builders import car, engine, spot

if TYPE_CHECKING:
    from consist.session import CarInTrain
    from consist.stock import Engine

__all__ = ["RandomStock"]


class RandomStock:
    """Cars and engines in turn, `factor` taking HO's lengths to the scale."""

    def __init__(self, rng: random.Random, factor: float) -> None:
        self._rng, self._factor = rng, factor

    def cars(self, count: int, lines: int) -> list[CarInTrain]:
        """A standing order in which one car rides all the way, and others may join or leave at any stop."""
        mood = self._rng.choice(["light and heavy", "light", "any"])
        through = self._rng.randrange(count)
        standing = []
        for number in range(count):
            joins, leaves = 0, lines
            if number != through and self._rng.random() < 0.5:
                joins, leaves = sorted(self._rng.sample(range(lines + 1), 2))
            standing.append(self._car(number, mood, joins, leaves))
        return standing

    def _car(self, number: int, mood: str, joins: int, leaves: int) -> CarInTrain:
        rng = self._rng
        four_wheels = rng.random() < 0.2
        length = rng.uniform(80.0, 112.0) if four_wheels else rng.uniform(120.0, 300.0)
        share = rng.uniform(0.35, 0.55) if four_wheels else rng.uniform(0.55, 0.8)
        heavy = rng.random() < 0.5 if mood == "light and heavy" else mood == "any" and rng.random() < 0.7
        stock = car(
            f"C{number + 1}",
            self._weight(rng.uniform(60.0, 260.0) if heavy else rng.uniform(12.0, 45.0)),
            length * self._factor,
            truck_centers_mm=share * length * self._factor,
            mount="truck" if rng.random() < 0.3 else "body",
            rolling=rng.uniform(0.006, 0.03),
            load_g=self._weight(rng.uniform(20.0, 80.0)),
        )
        return spot(stock, number + 1, loaded=rng.random() < 0.2, joins=joins, leaves=leaves)

    def engines(self) -> tuple[list[Engine], list[Engine]]:
        """Up to two engines ahead and up to two helpers; either may be missing, and both are once in fifteen."""
        ahead = self._rng.choice([0, 1, 1, 1, 2])
        helping = self._rng.choice([0, 0, 1, 2]) if ahead else self._rng.choice([0, 1, 2])
        weak = self._rng.random() < 0.25
        # several engines keep some pull each on any grade drawn here; one alone may have none
        grip = self._rng.choice([0.1, 0.01]) if ahead + helping == 1 else 0.1
        return (
            [self._engine(f"{number + 1}", grip if weak else None) for number in range(ahead)],
            [self._engine(f"{number + 8}", grip if weak else None) for number in range(helping)],
        )

    def _engine(self, name: str, weak_grip: float | None) -> Engine:
        rng = self._rng
        weight, grip = rng.uniform(150.0, 700.0), rng.uniform(0.15, 0.3)
        if weak_grip is not None:
            weight, grip = rng.uniform(50.0, 120.0), weak_grip
        length = rng.uniform(110.0, 300.0) * self._factor
        return engine(name, self._weight(weight), self._weight(weight * grip), length)

    def _weight(self, ho_g: float) -> float:
        return ho_g * self._factor**2
