"""What the files say, checked and in the program's own units, before any assumption is made.

Weights are in grams, lengths in millimetres, percentages and degrees as such. `None` is a cell or key left
out. Nothing is assumed here: stock and track do that, and report it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from consist.scales import Scale

__all__ = [
    "CarRecord",
    "EngineRecord",
    "GuestPractice",
    "HouseRecord",
    "LayoutRecord",
    "LineRecord",
    "PieceRecord",
    "PlaceRecord",
    "SessionRecord",
    "StandardRecord",
    "TrainRecord",
    "TrainRow",
]

CouplerMount = Literal["body", "truck"]
Turn = Literal["left", "right"]


@dataclass(frozen=True)
class CarRecord:
    """One row of `cars.csv` or `guests.csv`. `guest` tells which; `row` is the row in the file.

    The last four fields are asked of guests only: what was found at the door, None where it was not looked at.
    """

    car: str
    row: int
    guest: bool = False
    kind: str | None = None
    weight_g: float | None = None
    load_g: float | None = None
    body_length_mm: float | None = None
    coupled_length_mm: float | None = None
    truck_centers_mm: float | None = None
    coupler_mount: CouplerMount | None = None
    rolls_at_percent: float | None = None
    max_swing_deg: float | None = None
    min_radius_mm: float | None = None
    owner: str | None = None
    note: str | None = None
    wheels_in_gauge: bool | None = None
    coupler_height_ok: bool | None = None
    height_mm: float | None = None
    width_mm: float | None = None


@dataclass(frozen=True)
class EngineRecord:
    """One row of `engines.csv`."""

    engine: str
    row: int
    engine_class: str | None = None
    weight_g: float | None = None
    drivers_weight_g: float | None = None
    pull_g: float | None = None
    grip: float | None = None
    coupled_length_mm: float | None = None
    truck_centers_mm: float | None = None
    home: str | None = None


@dataclass(frozen=True)
class TrainRow:
    """One row of `trains.csv`: a car in a train. `hold` is `front`, `rear`, `stay`, `with CAR`, or None.

    `joins` and `leaves` are stops of the train's route, None where the cell is blank.
    """

    train: str
    spot: int
    car: str
    row: int
    loaded: bool = False
    block: str | None = None
    hold: str | None = None
    joins: str | None = None
    leaves: str | None = None


@dataclass(frozen=True)
class TrainRecord:
    """One `[[train]]` of `session.toml`, with its rows of `trains.csv` in spot order.

    `depart` and `arrive` are minutes of the fast clock after midnight; `arrive` may pass 1440.
    """

    name: str
    route: tuple[str, ...]
    engines: tuple[str, ...] = ()
    helpers: tuple[str, ...] = ()
    depart: int | None = None
    arrive: int | None = None
    rows: tuple[TrainRow, ...] = ()


@dataclass(frozen=True)
class StandardRecord:
    """A weight standard of the host's own: target = base_g + per_mm_g × body length."""

    name: str
    base_g: float
    per_mm_g: float


@dataclass(frozen=True)
class GuestPractice:
    """The `[house.guests]` table: what the host asks of guests' cars. Every key has a default.

    `margin` is the least margin at which a guest car rides, None for the house's care_margin. A car more than
    `under_percent` below the standard is run with care, more than `bench_under_percent` goes to the bench first.
    """

    margin: float | None = None
    under_percent: float = 10.0
    bench_under_percent: float = 30.0
    rolls_at_percent: float = 2.0
    needs_gauge_check: bool = False
    needs_coupler_check: bool = False


@dataclass(frozen=True)
class HouseRecord:
    """The `[house]` table: the host's own practice. Every key has a default.

    `flange_drag` is what a side load costs a car along the track, as a share of that load. Its default is derived,
    not measured: friction of 0.4, times about 0.35 mm of flange below the rail's head, over a wheel of 4.8 mm radius
    in HO (NMRA RP-25, code 110, has a flange 0.635 mm deep).
    """

    weight_standard: str | StandardRecord = "nmra-rp-20.1"
    care_margin: float = 1.5
    hold_margin: float = 1.0
    rolling_percent: float = 1.4
    pull_reserve: float = 0.15
    flange_drag: float = 0.03
    flange_angle_deg: float = 60.0
    flange_friction: float = 0.4
    turn_minutes: float = 10.0
    light_moves: bool = False
    guests: GuestPractice = GuestPractice()

    @property
    def guest_margin(self) -> float:
        """The least margin at which a guest car rides."""
        return self.care_margin if self.guests.margin is None else self.guests.margin


@dataclass(frozen=True)
class SessionRecord:
    """A session's folder as read: `session.toml`, its tables and the layout it names."""

    folder: Path
    title: str
    layout: LayoutRecord
    house: HouseRecord
    cars: tuple[CarRecord, ...]
    engines: tuple[EngineRecord, ...]
    trains: tuple[TrainRecord, ...]
    notes: tuple[str, ...] = ()
    """Oddities that stop nothing, one sentence each, such as a column that is not known."""


@dataclass(frozen=True)
class PieceRecord:
    """One piece of track: a straight of `length_mm`, or a curve of `radius_mm` turning `angle_deg`.

    `angle_deg` is all the turning, easements included; `easement_mm` is the length of the easement at each
    end. `grade_percent` rises going the way the line is written.
    """

    grade_percent: float = 0.0
    length_mm: float | None = None
    radius_mm: float | None = None
    turn: Turn | None = None
    angle_deg: float | None = None
    easement_mm: float = 0.0


@dataclass(frozen=True)
class PlaceRecord:
    """A place. `through` is None where any two different ends may be joined."""

    name: str
    through: tuple[tuple[str, str], ...] | None = None
    standing_mm: float | None = None
    clearance_height_mm: float | None = None
    clearance_width_mm: float | None = None


@dataclass(frozen=True)
class LineRecord:
    """A line of track between two ends of places, in the direction written."""

    start: tuple[str, str]
    finish: tuple[str, str]
    pieces: tuple[PieceRecord, ...]
    clearance_height_mm: float | None = None
    clearance_width_mm: float | None = None


@dataclass(frozen=True)
class LayoutRecord:
    """A layout's file. `file` is its name as the user knows it; `unit` is how it was written."""

    file: str
    name: str
    scale: Scale
    unit: Literal["in", "mm"]
    places: dict[str, PlaceRecord] = field(default_factory=dict)
    lines: tuple[LineRecord, ...] = ()
    notes: tuple[str, ...] = ()
