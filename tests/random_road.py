"""Track drawn at random, feature by feature, each with joints of its own kind. Sizes are HO's, taken to the scale."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from math import degrees, radians

from builders import curve, straight

from consist.stock import Car, Engine
from consist.track import Piece

__all__ = ["RandomRoad"]

SHARPEST_BY_LENGTH = (2.3, 3.0, 5.0)
"""No curve of a road is sharper than one of these times its longest vehicle. Couplers just stand on the first."""
LONGEST_EASEMENT_MM = 500.0
GRADES = (
    (0.0,),
    (0.0, 1.5, 2.0, 3.0, 4.0),
    (0.0, -1.0, -2.5, -4.0),
    (-3.0, -4.0),
    # about what a car rolls down by itself among them
    (-4.0, -2.0, -1.4, 0.0, 1.4, 2.0, 4.0),
)
"""Per cent; a road has those of one row."""


class RandomRoad:
    """Lines of track for a train of that stock, `factor` taking HO's lengths to the scale."""

    def __init__(self, rng: random.Random, factor: float, stock: Sequence[Car | Engine]) -> None:
        self._rng, self._factor = rng, factor
        longest = max(one.coupled_length_mm for one in stock) / factor
        self._sharpest = max(330.0, rng.choice(SHARPEST_BY_LENGTH) * longest)
        some = rng.choice([one for one in stock if isinstance(one, Car)])
        self._car_lengths = [some.coupled_length_mm / factor, some.truck_centers_mm / factor]
        self._grades = rng.choice(GRADES)

    def line(self, wanted_mm: float) -> tuple[Piece, ...]:
        """Features one after another until the line is as long as wanted, in HO."""
        features: list[Callable[[], list[Piece]]] = [
            self._straight,
            self._curve,
            self._nothing_but_easement,
            self._s_curve,
            self._compound,
            self._kink,
            self._sawtooth,
            self._short_pieces,
        ]
        pieces: list[Piece] = []
        while sum(piece.length_mm for piece in pieces) < wanted_mm * self._factor:
            pieces.extend(self._rng.choice(features)())
        return tuple(pieces)

    def _grade(self) -> float:
        grade = self._rng.choice(self._grades)
        return grade if self._rng.random() < 0.7 else grade * self._rng.uniform(0.3, 1.0)

    def _turn(self) -> str:
        return self._rng.choice(["left", "right"])

    def _radius(self) -> float:
        return self._sharpest * self._rng.choice([1.0, self._rng.uniform(1.0, 1.6), self._rng.uniform(1.0, 3.0)])

    def _bend(self, radius: float, angle: float, turn: str, grade: float, eased: float = 0.0) -> Piece:
        """A curve of HO's size; `eased` is the share of its turning that easements take, 1 leaving no arc."""
        easement = min(eased * radius * radians(angle), LONGEST_EASEMENT_MM)
        return curve(radius * self._factor, angle, turn, grade_percent=grade, easement_mm=easement * self._factor)

    def _eased(self) -> float:
        return self._rng.choice([0.0, 0.0, self._rng.uniform(0.1, 0.9)])

    def _straight(self) -> list[Piece]:
        return [straight(self._rng.uniform(40.0, 500.0) * self._factor, self._grade())]

    def _curve(self) -> list[Piece]:
        return [
            self._bend(self._radius(), self._rng.uniform(10.0, 110.0), self._turn(), self._grade(), self._eased())
        ]

    def _nothing_but_easement(self) -> list[Piece]:
        radius = self._radius()
        length = self._rng.uniform(60.0, LONGEST_EASEMENT_MM)
        return [self._bend(radius, degrees(length / radius), self._turn(), self._grade(), 1.0)]

    def _s_curve(self) -> list[Piece]:
        """Two curves back to back, or with a straight between them that is shorter than a car."""
        first = self._turn()
        second = "left" if first == "right" else "right"
        grade, eased = self._grade(), self._eased()
        bends = [
            self._bend(self._radius(), self._rng.uniform(12.0, 60.0), turn, grade, eased) for turn in (first, second)
        ]
        if self._rng.random() < 0.3:
            bends.insert(1, straight(self._rng.uniform(5.0, 100.0) * self._factor, grade))
        return bends

    def _compound(self) -> list[Piece]:
        """Curves one way whose radius changes at a joint, with no straight between them."""
        turn, grade = self._turn(), self._grade()
        return [
            self._bend(self._radius(), self._rng.uniform(8.0, 40.0), turn, grade, self._eased())
            for _ in range(self._rng.randint(2, 3))
        ]

    def _kink(self) -> list[Piece]:
        """A curve shorter than a car between straights: felt for a few millimetres only."""
        radius, grade = self._radius(), self._grade()
        length = self._rng.choice([3.0, self._rng.uniform(3.0, 40.0), self._car_lengths[0] / 2.0])
        bend = self._bend(radius, degrees(length / radius), self._turn(), grade)
        return [*self._straight(), bend, *self._straight()]

    def _sawtooth(self) -> list[Piece]:
        """Grades up and down by turns, each no longer than half a car, a car or the spacing of its trucks."""
        length = self._rng.choice([self._car_lengths[0] / 2.0, *self._car_lengths])
        steep = abs(self._grade()) or 1.0
        return [straight(length * self._factor, steep * (-1.0) ** k) for k in range(self._rng.randint(2, 5))]

    def _short_pieces(self) -> list[Piece]:
        """Curves and straights of 3 mm to half a car, one after another."""
        pieces = []
        for _ in range(self._rng.randint(2, 6)):
            length = self._rng.choice([3.0, self._rng.uniform(3.0, 60.0), self._car_lengths[0] / 2.0])
            if self._rng.random() < 0.4:
                pieces.append(straight(length * self._factor, self._grade()))
            else:
                radius = self._radius()
                pieces.append(self._bend(radius, degrees(length / radius), self._turn(), self._grade()))
        return pieces
