"""What a rule looks at: one train of a session, run over its route."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from consist.scales import Scale
from consist.session import CarInTrain, Session, Train
from consist.trip import LegRun, Trip
from consist.wording import length_words, percent, weight_words

__all__ = ["Case"]


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

    def percent(self, use: float) -> str:
        """A side use in words, so that it never seems to cross or reach a limit of the house that it has not."""
        house = self.session.house
        return percent(use, 1.0 / house.care_margin, 1.0 / house.hold_margin)

    def weight(self, grams: float) -> str:
        """A weight, for a sentence."""
        return weight_words(grams, self.session.layout.unit)
