"""A session and its results made by hand: every figure is invented, and names are as hostile as files can be."""

from __future__ import annotations

from dataclasses import replace

import builders

from consist.evening.results import (
    CarResult,
    LegResult,
    Move,
    PeakDrawbar,
    PowerResult,
    SessionCheck,
    Suggestion,
    TrainCheck,
    WorstPlace,
)
from consist.rules.case import Finding
from consist.session import Session, Train
from consist.track import Layout

__all__ = ["HOSTILE", "LONG", "TURN_CARS", "WIDE", "hill", "quiet_check", "session", "session_check", "turn_check"]

HOSTILE = "[bold]Q\x1b[31mZ\n7[/]"
LONG = "VERY LONG mark of a FOREIGN ROAD 1234567890"
WIDE = "東鉱鉄道 205"
TURN_CARS = (HOSTILE, LONG, WIDE, "QLM 4", "QLM 5", "QLM 6")


def hill() -> Layout:
    """A line that climbs through a left and then a right curve to a junction, and two lines on from there."""
    return builders.layout(
        builders.line(
            "Low Yard, out",
            "Fork, low",
            builders.straight(1000.0),
            builders.curve(600.0, 90.0, "left", grade_percent=2.0),
            builders.curve(800.0, 60.0, "right", grade_percent=1.0, easement_mm=150.0),
        ),
        builders.line("Fork, high", "Hill Top, in", builders.straight(1500.0, 1.5)),
        builders.line("Fork, side", "Side Mill, in", builders.straight(900.0, -0.5)),
    )


def session() -> Session:
    """Two trains: `Turn`, with helpers, hostile names and a set-out at Fork; `Quiet`, with no engine."""
    where = hill()
    cars = [builders.car(name, 60.0 + 10.0 * k, 150.0) for k, name in enumerate(TURN_CARS)]
    standing = [
        builders.spot(car, k, loaded=k % 2 == 0, block="Hill [Top]", leaves=1 if k == 5 else 2)
        for k, car in enumerate(cars, start=1)
    ]
    engines = [builders.engine("31", engine_class="Heavy"), builders.engine("32", engine_class="Heavy")]
    helpers = [builders.engine("40", engine_class="Pusher")]
    turn = builders.train(
        where, standing, engines, helpers, name="Turn", stops=("Low Yard", "Fork", "Hill Top"), times=(600, 1450)
    )
    quiet = builders.train(where, [builders.car("QLM 9", 90.0)], name="Quiet", stops=("Hill Top", "Fork"), engines=())
    made = builders.session(where, turn, quiet)
    return replace(made, title="Evening \x07of trial", notes=("The column 'colour' is not known [red].",))


def turn_check(train: Train) -> TrainCheck:
    """The results of `Turn`: on hold, its second car worst."""
    uses = (0.31, 1.22, 0.8, 0.5, 0.125, 0.0)
    cars = tuple(
        CarResult(name, k, 60.0 + 10.0 * (k - 1), use, 1.0 / use if use else None, 30.0 - k)
        for k, (name, use) in enumerate(zip(TURN_CARS, uses, strict=True), start=1)
    )
    many = tuple(
        Finding("underweight", "note", f"Car {name} is light.", car=name, spot=k)
        for k, name in enumerate((*TURN_CARS, "R1", "R2", "R3", "R4"), start=1)
    )
    return TrainCheck(
        train="Turn",
        verdict="hold",
        margin=1.0 / 1.22,
        side_use=1.22,
        worst=WorstPlace(LONG, 2, 2400.0, "between Low Yard and Fork", 1900.0),
        order_score=45.6,
        heavy_forward=33.3,
        weight_g=510.0,
        length_mm=1500.0,
        route_mm=train.route.length_mm,
        peak_drawbar=PeakDrawbar(29.5, "32", 2000.0, "between Low Yard and Fork"),
        power=PowerResult(("31", "32", "40"), 2, {"Heavy": 2, "Pusher": None}, 0.61, 0.42),
        cars=cars,
        legs=(
            LegResult("Low Yard", "Fork", TURN_CARS, 510.0, 1.0 / 1.22, 1.22, 29.5, 0.61),
            LegResult("Fork", "Hill Top", TURN_CARS[:4] + TURN_CARS[5:], 410.0, None, 0.0, None, None),
        ),
        findings=(
            *many,
            Finding("side-pull", "hold", f"{LONG} lets go.", LONG, 2, "between Low Yard and Fork", 0.82, 1.0),
            Finding("too-long", "care", "The train is too long.", place="Fork", value=2.0, limit=1.0),
        ),
        suggestion=Suggestion(
            ("QLM 4", HOSTILE, WIDE, "QLM 5", LONG, "QLM 6"),
            1.64,
            (Move((LONG,), "QLM 5"), Move(("QLM 4", "QLM 5"), None)),
        ),
    )


def quiet_check(train: Train) -> TrainCheck:
    """The results of `Quiet`: go, and nothing to tell."""
    return TrainCheck(
        train="Quiet",
        verdict="go",
        margin=None,
        side_use=0.0,
        worst=None,
        order_score=100.0,
        heavy_forward=None,
        weight_g=90.0,
        length_mm=150.0,
        route_mm=train.route.length_mm,
        peak_drawbar=None,
        power=PowerResult((), None, {}, None, None),
        cars=(CarResult("QLM 9", 1, 90.0, 0.0, None, 0.0),),
        legs=(LegResult("Hill Top", "Fork", ("QLM 9",), 90.0, None, 0.0, None, None),),
        findings=(),
        suggestion=None,
    )


def session_check(of: Session) -> SessionCheck:
    """Both trains' results."""
    return SessionCheck(of.title, of.layout.name, (turn_check(of.trains[0]), quiet_check(of.trains[1])))
