"""The results of planning power, typed.

Weights and pulls are in gram-force, lengths in millimetres, times in minutes of the fast clock after midnight of
the session's day, so that a time past the next midnight is over 1440.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Literal

from consist.frames import Columns, Framed

__all__ = ["Combo", "EngineTurns", "Option", "OptionKind", "PowerPlan", "Rating", "Tightest", "TrainPower", "Turn"]

OptionKind = Literal["helper", "leave", "double", "light"]


@dataclass(frozen=True)
class Tightest:
    """Where a train has the least power in hand: the place in words, and how far along its route the head is."""

    place: str
    head_mm: float


@dataclass(frozen=True)
class Combo:
    """Engines by class that move a train all the way, none of them spare.

    `use` is the greatest resistance over usable pull on the route and `tightest` where that is; `clears_g` is
    the least by which usable pull is over resistance anywhere.
    """

    classes: Mapping[str, int]
    use: float
    clears_g: float
    tightest: Tightest

    @property
    def engines(self) -> int:
        """How many engines it takes in all."""
        return sum(self.classes.values())


@dataclass(frozen=True)
class Option:
    """One way to move a train that is short of power; `say` tells it in a plain sentence.

    `engines` are those at the head end that the option counts on, and `use` what is then the greatest use of
    their usable pull. A helper or an engine that comes light is named in `extra`, standing in `comes_from`.
    `start` and `finish` are the places between which a helper pushes, or those an engine runs light between.
    `cars` are those left behind, or, for doubling, those of the second cut.
    """

    kind: OptionKind
    say: str
    engines: tuple[str, ...] = ()
    use: float | None = None
    extra: tuple[str, ...] = ()
    engine_class: str | None = None
    comes_from: str | None = None
    start: str | None = None
    finish: str | None = None
    cars: tuple[str, ...] = ()


@dataclass(frozen=True)
class Turn:
    """One trip of an engine. Times are None where the train has none."""

    train: str
    depart: int | None
    arrive: int | None
    start: str
    finish: str


@dataclass(frozen=True)
class EngineTurns:
    """An engine's trips in their order."""

    engine: str
    turns: tuple[Turn, ...]


@dataclass(frozen=True)
class TrainPower:
    """One train's power: what would do, what the plan gives it, and what would mend it where that is too little.

    `combos` are all the minimal ones, fewest engines first. A train left short has no `assigned` but `at_hand`: the
    engines the plan leaves at its first place, too few to move it. Only given engines that were to be kept stay
    assigned to a train that they leave short. `use` and `tightest` are those of the engines assigned or at hand;
    both are None where there is none, and `use` also where they have no pull to use. `given` are the engines and
    helpers of the session's file, `given_use` the use of theirs in the same way.
    """

    train: str
    start: str
    finish: str
    depart: int | None
    arrive: int | None
    combos: tuple[Combo, ...]
    assigned: tuple[str, ...]
    use: float | None
    tightest: Tightest | None
    short: bool
    options: tuple[Option, ...] = ()
    at_hand: tuple[str, ...] = ()
    given: tuple[str, ...] = ()
    given_use: float | None = None


@dataclass(frozen=True)
class PowerPlan(Framed):
    """The engines of a session's trains. `trains` are in the session's order.

    As frames: its `trains`, the `timeline` of the engines, the `combos` that would do and the `options` of trains
    that are short.

    `turns` has, for every engine of the roster, by name, its trips in order, none for one that stays idle.
    `proven` tells that no plan of the trains with times leaves fewer of them short, or as many with fewer engines
    used, or those with fewer assigned in all; a train without times is planned by itself, with the fewest engines
    that may be had for it. `keeps_given` tells that trains keep the engines that the session gives them. `notes` are
    sentences on what was taken for granted or does not agree.
    """

    _tables: ClassVar = {
        "trains": Columns(
            "trains",
            "train start finish depart arrive assigned use tightest.place short at_hand given given_use",
        ),
        "timeline": Columns("timeline.turns", "engine train depart arrive start finish"),
        "combos": Columns("trains.combos", "train classes engines use clears_g tightest.place"),
        "options": Columns("trains.options", "train kind say engines use extra comes_from start finish cars"),
    }
    session: str
    layout: str
    trains: tuple[TrainPower, ...]
    turns: Mapping[str, tuple[Turn, ...]]
    proven: bool
    worth_measuring: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    keeps_given: bool = False

    @property
    def timeline(self) -> tuple[EngineTurns, ...]:
        """Every engine with its trips, by name."""
        return tuple(EngineTurns(engine, turns) for engine, turns in self.turns.items())

    @property
    def engines(self) -> dict[str, tuple[str, ...]]:
        """The engines assigned to each train, by train in the session's order."""
        return {train.train: train.assigned for train in self.trains}

    @property
    def engines_used(self) -> int:
        """How many engines run at all."""
        return len({engine for train in self.trains for engine in train.assigned})

    @property
    def engines_assigned(self) -> int:
        """How many engines all trains have, an engine of two trains counting twice."""
        return sum(len(train.assigned) for train in self.trains)

    @property
    def short(self) -> tuple[str, ...]:
        """The trains left short of power."""
        return tuple(train.train for train in self.trains if train.short)


@dataclass(frozen=True)
class Rating:
    """What engines of a class take over a line in one direction, by the hardest piece of its track.

    `line` is the line's number from 1 as the layout has it, `start` and `finish` the places it is run between.
    `ruling_percent` is that piece's grade with its curve resistance, and `ruling_piece` its number from 1 as the
    line is written. `trailing_g` is the weight of cars that one, two and three engines take there, and `cars` how
    many cars of standard weight that is. An entry is None where nothing holds a train back, so that there is no
    limit.
    """

    line: int
    start: str
    finish: str
    engine_class: str
    ruling_percent: float
    ruling_piece: int
    trailing_g: tuple[float | None, ...]
    cars: tuple[int | None, ...]
