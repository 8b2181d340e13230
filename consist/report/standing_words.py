"""What a drawn standing order and its table both say: places of engines, legs of cars, levels of use."""

from __future__ import annotations

from consist.report.legs import leg_name
from consist.report.words import NONE
from consist.rules.finding import Level
from consist.session import CarInTrain, Train

__all__ = ["REAR", "USE_IS", "head_end_words", "legs_marked", "legs_words", "no_engine_words", "use_level"]

USE_IS = "Use is the part a car uses of the side pull it can bear"
REAR = "rear end"
MOST_LEGS_MARKED = 6


def head_end_words(number: int) -> str:
    """Where an engine at the head end stands, by its number from 0."""
    return "head end" if number else "head end, leading"


def no_engine_words(train: Train) -> str:
    """What stands at the head end of a train without engines there."""
    return "helpers only" if train.helpers else "no engine yet"


def use_level(use: float, care: float, hold: float) -> Level | None:
    """The level at which a car's use is, None where it is well."""
    return "hold" if use > hold else "care" if use > care else None


def legs_marked(train: Train) -> bool:
    """Whether the legs on which cars ride are told: where the makeup changes, and not too often to be read."""
    return 1 < len(train.legs) <= MOST_LEGS_MARKED


def legs_words(train: Train, car: CarInTrain) -> str:
    """The legs on which a car rides, by their letters, where the train's makeup changes."""
    if not legs_marked(train):
        return ""
    rides = [car.joins <= leg.start and leg.finish <= car.leaves for leg in train.legs]
    return "".join(leg_name(number) if there else NONE for number, there in enumerate(rides))
