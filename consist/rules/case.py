"""What a rule looks at, one train of a session run over its route, and what it finds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from consist.house import LEVELS, Level, Verdict
from consist.session import CarInTrain, Session, Train
from consist.trains import LegRun, Prepared, Trip
from consist.wording import length_words, lengths_apart, percent, weight_words

__all__ = ["LEVELS", "Case", "Finding", "FindingCode", "Level", "Verdict"]

FindingCode = Literal[
    "no-cars", "side-pull", "buff-push", "power-short", "coupler-angle", "radius", "light-ahead", "too-long", "slack",
    "not-weighed", "underweight", "overweight", "unlikely", "unsure", "two-trains", "way-taken",
    "assumed",
]  # fmt: skip
"""What kind of finding it is; consist/report/meanings.toml says what each means."""


@dataclass(frozen=True)
class Finding:
    """What was found: its code and level; the car, spot and place where it applies, None where none does.

    `value` is the figure found and `limit` what it was held against, both in the unit that `say` names, or
    None where the finding is no matter of a figure. `say` is one plain sentence that says what to do. `other` is the
    other train that it is of, `cars` the cars where it is of several.
    """

    code: FindingCode
    level: Level
    say: str
    car: str | None = None
    spot: int | None = None
    place: str | None = None
    value: float | None = None
    limit: float | None = None
    other: str | None = None
    cars: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Case:
    """A train's trip, and the train as it was prepared for it."""

    prepared: Prepared
    trip: Trip

    @property
    def session(self) -> Session:
        """The train's session."""
        return self.prepared.session

    @property
    def train(self) -> Train:
        """The train that was run."""
        return self.trip.train

    @property
    def cars(self) -> tuple[CarInTrain, ...]:
        """Every car that rides in the train at some time, in standing order."""
        return self.train.cars

    @cached_property
    def worst_run(self) -> dict[str, tuple[LegRun, int]]:
        """For each car, the leg on which its side use is greatest and its number among the vehicles there."""
        worst: dict[str, tuple[LegRun, int]] = {}
        for leg in self.trip.legs:
            for vehicle, car in enumerate(leg.cars, start=leg.first_car):
                known, there = worst.setdefault(car.car.name, (leg, vehicle))
                if leg.peaks.use.value[vehicle] > known.peaks.use.value[there]:
                    worst[car.car.name] = leg, vehicle
        return worst

    def side_use(self, car: CarInTrain) -> float:
        """A car's greatest side use over the trip."""
        return self.trip.uses[car.car.name]

    def about(
        self,
        car: CarInTrain,
        code: FindingCode,
        level: Level,
        say: str,
        place: str | None = None,
        value: float | None = None,
        limit: float | None = None,
    ) -> Finding:
        """A finding about a car; `say` is the sentence after its name and spot."""
        name, spot = car.car.name, car.spot
        return Finding(code, level, f"{name} in spot {spot} {say}", name, spot, place, value, limit)

    def length(self, mm: float) -> str:
        """A length in the layout's unit, for a sentence."""
        return length_words(mm, self.session.layout.unit)

    def lengths(self, mm: float, other_mm: float) -> tuple[str, str]:
        """Two lengths that are not the same, for a sentence that tells them apart."""
        return lengths_apart(mm, other_mm, self.session.layout.unit)

    def percent(self, use: float) -> str:
        """A side use in words, so that it never seems to cross or reach a limit of the house that it has not."""
        house = self.session.house
        return percent(use, 1.0 / house.care_margin, 1.0 / house.hold_margin)

    def weight(self, grams: float) -> str:
        """A weight, for a sentence."""
        return weight_words(grams, self.session.layout.unit)
