"""What the bench returns: the figures of the JSON output, typed.

Weights are in grams, lengths in millimetres. No figure is rounded. `None` is a figure that has no value, such as the
gain of a car that rides in no train.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar, Literal

from consist.frames import Columns, Framed
from consist.house import LEVELS, Verdict

__all__ = ["BenchCar", "BenchList", "Choice", "ExtraEngine", "Status", "Target", "TrainAfter"]

Status = Literal["under", "near", "on", "heavy", "over", "not weighed"]
"""Where a car stands empty: `under` what is near enough; `near` enough though under its target; `on` its target or a
little over; `heavy`, past the band but within what standards allow; `over`, past that too; or `not weighed`."""


FINEST_GAIN = 0.01
"""Gains count as finely as margins are shown."""


@dataclass(frozen=True)
class Target:
    """What a car of a length ought to weigh, and the band that is near enough.

    `length_words` says which length the standard counts; `title` is the standard's name in print; `note` what is
    taken where it has no figures for the scale.
    """

    scale: str
    standard: str
    length_mm: float
    target_g: float
    low_g: float
    high_g: float
    title: str = ""
    length_words: str = ""
    note: str = ""


@dataclass(frozen=True)
class Choice:
    """Pieces for one car, by name over either truck. `even` is whether the sides are near enough equal."""

    trucks: tuple[dict[str, int], dict[str, int]]
    added_g: float
    sides_g: tuple[float, float]
    even: bool

    @property
    def pieces(self) -> dict[str, int]:
        """The pieces of both trucks together, by name."""
        one, other = self.trucks
        return {name: one.get(name, 0) + other.get(name, 0) for name in {**one, **other}}


@dataclass(frozen=True)
class BenchCar:
    """One car at the bench.

    `add_g` is what it lacks of its target (None where it is not under, or was not weighed), `after_g` what it weighs
    with the pieces chosen. `gain` is what the margin of the worst of its trains tonight gains when this car alone
    is brought to its target, from `margin` to `margin_after`, in the train named `worst_train`; `evening_gain` is the
    same for the worst of all of tonight's trains. `useful_gain` counts the gain only up to the house's care margin.
    `worst_car` is the car whose margin that is now, or after where the margin falls; `worst_place` where it is then.
    `level` and `level_after` are what the house makes of the two margins. `far_under_in` are the trains in which the
    check takes care because the car is so light.
    """

    car: str
    kind: str
    owner: str
    status: Status
    weight_g: float | None
    target_g: float
    low_g: float
    high_g: float
    add_g: float | None = None
    choice: Choice | None = None
    after_g: float | None = None
    place: str = ""
    trains: tuple[str, ...] = ()
    worst_train: str | None = None
    margin: float | None = None
    margin_after: float | None = None
    gain: float | None = None
    useful_gain: float | None = None
    evening_gain: float | None = None
    worst_car: str | None = None
    worst_place: str | None = None
    level: Verdict | None = None
    level_after: Verdict | None = None
    far_under_in: tuple[str, ...] = ()
    note: str = ""
    """One sentence where something stands in the way, such as too few pieces on hand; else empty."""

    @property
    def pieces(self) -> dict[str, int]:
        """How many of each piece to add, by name; empty where nothing is to be added."""
        return self.choice.pieces if self.choice is not None else {}

    @property
    def tells(self) -> bool:
        """Whether its weight alone can tell in a verdict tonight, as finely as margins are shown, for good or ill."""
        return self.effect != "none"

    @property
    def effect(self) -> Literal["helps", "harms", "none"]:
        """What its target makes of tonight's verdicts; margins count up to where the house takes care."""
        useful = self.useful_gain or 0.0
        worse = _gravity(self.level_after) - _gravity(self.level)
        if useful <= -0.5 * FINEST_GAIN or worse > 0:
            return "harms"
        return "helps" if useful >= 0.5 * FINEST_GAIN or worse < 0 or self.far_under_in else "none"


def _gravity(level: Verdict | None) -> int:
    return 0 if level in (None, "go") else len(LEVELS) - LEVELS.index(level)


@dataclass(frozen=True)
class TrainAfter:
    """A train's margin as it stands, and with every car listed brought to the weight its pieces give."""

    train: str
    margin: float | None
    after: float | None


@dataclass(frozen=True)
class ExtraEngine:
    """Cars over the standard that make a train need more engines; without their excess fewer would do.

    `engines` is None where no number of the class moves the train as it stands.
    """

    train: str
    cars: tuple[str, ...]
    excess_g: float
    engine_class: str
    engines: int | None
    without: int


@dataclass(frozen=True)
class BenchList(Framed):
    """The bench's list for an evening. As frames: its `cars`, in the order of `every`, and `trains`.

    `cars` are those under the standard, in the order to take them, as many as there is time for; `later` are those
    that the time does not reach; `others` are all the rest, by status. `trains` are the trains that cars in `cars`
    ride in. `used` is how many of each piece the list takes. `care_margin` is the house's.
    """

    _tables: ClassVar = {
        "cars": Columns(
            "every",
            "car kind owner status weight_g target_g low_g high_g add_g pieces after_g place trains worst_train "
            "margin margin_after gain useful_gain evening_gain note",
        ),
        "trains": Columns("trains", "train margin after"),
    }
    scale: str
    standard: str
    cars: tuple[BenchCar, ...]
    later: tuple[BenchCar, ...] = ()
    others: tuple[BenchCar, ...] = ()
    trains: tuple[TrainAfter, ...] = ()
    extra_engines: tuple[ExtraEngine, ...] = ()
    used: dict[str, int] = field(default_factory=dict)
    minutes: float | None = None
    per_car: float | None = None
    title: str = ""
    length_words: str = ""
    notes: tuple[str, ...] = ()
    care_margin: float = 0.0

    @property
    def next(self) -> str | None:
        """The car to take next, None where none is left or there is no time."""
        return self.cars[0].car if self.cars else None

    @property
    def every(self) -> tuple[BenchCar, ...]:
        """The cars in the order to take them, then those for another day, then the rest."""
        return (*self.cars, *self.later, *self.others)
