"""What a check returns: the figures of the JSON output, typed.

Weights and forces are in grams (gram-force), lengths in millimetres. No figure is rounded. `None` is a figure
that has no value, such as the margin of a train that feels no side pull.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from consist.errors import UnknownNameError
from consist.frames import Columns, Framed
from consist.learning.ranges import TrainRange
from consist.order.results import Move
from consist.rules.case import Finding, Verdict

__all__ = [
    "CarResult",
    "LegResult",
    "Move",
    "PeakDrawbar",
    "PowerResult",
    "SessionCheck",
    "Suggestion",
    "TrainCheck",
    "WorstPlace",
]


@dataclass(frozen=True)
class WorstPlace:
    """The car with the greatest side use, where the head stands then, and where the car stands."""

    car: str
    spot: int
    head_mm: float
    place: str
    car_mm: float
    """Where the middle of the car stands, from the start of the route."""


@dataclass(frozen=True)
class PeakDrawbar:
    """The greatest tension in a coupling; `behind` is the vehicle ahead of that coupling."""

    g: float
    behind: str
    head_mm: float
    place: str


@dataclass(frozen=True)
class PowerResult:
    """Engines on the train, and the fewest of each class that would do (None: no number of them does).

    `use` is the greatest share that they give of their usable pull, `hold_use` of what they can hold back; None where
    they are asked for what they have not got at all. `owned` is how many engines of each class there are.
    """

    assigned: tuple[str, ...]
    needed: int | None
    by_class: dict[str, int | None]
    use: float | None
    hold_use: float | None
    owned: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class CarResult:
    """One car of a train: its running weight, its greatest side use, and the greatest pull at its couplers."""

    car: str
    spot: int
    weight_g: float
    side_use: float
    margin: float | None
    peak_drawbar_g: float


@dataclass(frozen=True)
class LegResult:
    """A stretch of the route run with the same cars, from one stop to the next."""

    start: str
    finish: str
    cars: tuple[str, ...]
    weight_g: float
    margin: float | None
    side_use: float
    peak_drawbar_g: float | None
    power_use: float | None
    backing: bool = False


@dataclass(frozen=True)
class Suggestion:
    """A better standing order, the margin it gives, and the moves that make it."""

    order: tuple[str, ...]
    margin: float | None
    moves: tuple[Move, ...]


CARS = "train car spot weight_g side_use margin peak_drawbar_g"
FINDINGS = "train code level car spot place value limit say"
LEGS = "train start finish cars weight_g margin side_use peak_drawbar_g power_use backing"


@dataclass(frozen=True)
class TrainCheck(Framed):
    """Everything the check says of one train. As frames: its `cars`, `findings` and `legs`."""

    _tables: ClassVar = {
        "cars": Columns("cars", CARS),
        "findings": Columns("findings", FINDINGS),
        "legs": Columns("legs", LEGS),
    }

    train: str
    verdict: Verdict
    margin: float | None
    side_use: float
    worst: WorstPlace | None
    order_score: float | None
    heavy_forward: float | None
    weight_g: float
    length_mm: float
    route_mm: float
    peak_drawbar: PeakDrawbar | None
    power: PowerResult
    cars: tuple[CarResult, ...]
    legs: tuple[LegResult, ...]
    findings: tuple[Finding, ...]
    suggestion: Suggestion | None
    range: TrainRange | None = None
    """Of its figures, None where it was not asked for."""

    def car(self, name: str) -> CarResult:
        """The car of that name. Raises `UnknownNameError` where the train has none."""
        for car in self.cars:
            if car.car == name:
                return car
        raise UnknownNameError("car", name, [car.car for car in self.cars])


@dataclass(frozen=True)
class SessionCheck(Framed):
    """A session checked, one `TrainCheck` a train in the session's order.

    As frames: its `trains`, and the `cars`, `findings` and `legs` of all of them. `notes` are the session's.
    """

    _tables: ClassVar = {
        "trains": Columns(
            "trains",
            "train verdict margin side_use worst.car worst.spot worst.place order_score heavy_forward weight_g "
            "length_mm route_mm peak_drawbar.g engines=power.assigned engines_needed=power.needed "
            "power_use=power.use hold_use=power.hold_use margin_low=range.margin.0 margin_high=range.margin.1 "
            "hold_share=range.hold_share",
        ),
        "cars": Columns("trains.cars", CARS),
        "findings": Columns("trains.findings", FINDINGS),
        "legs": Columns("trains.legs", LEGS),
    }

    session: str
    layout: str
    trains: tuple[TrainCheck, ...]
    notes: tuple[str, ...] = ()

    def train(self, name: str) -> TrainCheck:
        """The train of that name. Raises `UnknownNameError` where none of that name was checked."""
        for train in self.trains:
            if train.train == name:
                return train
        raise UnknownNameError("train", name, [train.train for train in self.trains])

    @property
    def on_hold(self) -> tuple[str, ...]:
        """The names of the trains on hold."""
        return tuple(train.train for train in self.trains if train.verdict == "hold")
