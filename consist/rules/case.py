"""What a rule looks at: one train of a session, run over its route."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, Scale
from consist.session import CarInTrain, Session, Train
from consist.trip import LegRun, Trip

__all__ = ["Case", "amount", "at", "length_words", "percent"]


@dataclass(frozen=True)
class Case:
    """A train's trip, the engines each class would need, and whether engines were only assumed for it."""

    session: Session
    trip: Trip
    needed: Mapping[str, int | None]
    stand_in: tuple[str, int] | None = None
    """The class and number of engines the train was run behind where none are assigned."""

    @property
    def train(self) -> Train:
        """The train that was run."""
        return self.trip.train

    @property
    def scale(self) -> Scale:
        """The layout's scale."""
        return self.session.layout.scale

    @cached_property
    def cars(self) -> tuple[CarInTrain, ...]:
        """Every car that rides in the train at some time, in standing order."""
        return self.train.cars

    @cached_property
    def worst_run(self) -> dict[str, tuple[LegRun, int]]:
        """For each car, the leg on which its side use is greatest and its number among the vehicles there."""
        worst: dict[str, tuple[LegRun, int]] = {}
        for leg in self.trip.legs:
            for place, car in enumerate(leg.cars):
                vehicle = leg.first_car + place
                known = worst.get(car.car.name)
                if known is None or leg.peaks.use.value[vehicle] > known[0].peaks.use.value[known[1]]:
                    worst[car.car.name] = (leg, vehicle)
        return worst

    def side_use(self, car: CarInTrain) -> float:
        """A car's greatest side use over the trip."""
        leg, vehicle = self.worst_run[car.car.name]
        return float(leg.peaks.use.value[vehicle])

    def length(self, mm: float) -> str:
        """A length in the layout's unit, for a sentence."""
        return length_words(mm, self.session.layout.unit)

    def weight(self, grams: float) -> str:
        """A weight, for a sentence."""
        return amount(grams, self.session.layout.unit)


def length_words(mm: float, unit: str) -> str:
    """A length in words, in inches or millimetres.

    >>> length_words(609.6, "in"), length_words(250.0, "mm")
    ('24 in', '250 mm')
    """
    if unit != "in":
        return f"{mm:.0f} mm"
    inches = mm / MM_PER_INCH
    return f"{inches:.3g} in" if inches < 100 else f"{inches:.0f} in"


def amount(grams: float, unit: str) -> str:
    """A weight in words: ounces where the layout is in inches, else grams.

    >>> amount(28.349523125, "in"), amount(28.0, "mm")
    ('1.00 oz', '28 g')
    """
    if unit == "in":
        return f"{grams / GRAMS_PER_OUNCE:.2f} oz"
    return f"{grams:.3g} g" if grams < 100 else f"{grams:.0f} g"


def at(place: str) -> str:
    """Where something happens, for a sentence: at a place, or between two.

    >>> at("Gorse Junction"), at("between Gorse Junction and Hilltop")
    ('at Gorse Junction', 'between Gorse Junction and Hilltop')
    """
    return place if place.startswith("between ") else f"at {place}"


def percent(share: float) -> str:
    """A share as per cent, for a sentence.

    >>> percent(0.734)
    '73 %'
    """
    return f"{100 * share:.0f} %"
