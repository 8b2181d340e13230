"""Ranges against four thousand plain random draws, each worked out by the plain model."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import replace

import pytest
from builders import SAMPLES, car, curve, engine, one_line, session, spot, straight, train
from many_sessions import Drawn, random_session
from plain_draws import PlainDraws, plain_draws

from consist.house import House
from consist.learning.ranges import range_of
from consist.session import Train, load
from consist.stock import Engine
from consist.track import Piece
from consist.trains import prepared

__all__: list[str] = []

DRAWS = 4_000
ENDS, SHARE = 0.08, 0.05
NOT_MEASURED = ("rolling", "weight", "truck centers")
UP = [straight(200.0, 1.0), curve(520.0, 70.0, grade_percent=2.0, easement_mm=120.0), straight(300.0, 2.5)]
S_CURVE = [straight(200.0), curve(480.0, 40.0), curve(520.0, 40.0, "right", grade_percent=1.5), straight(200.0)]
DOWN = [straight(200.0, -1.0), curve(560.0, 60.0, grade_percent=-3.0), straight(200.0, -1.0)]
LIGHT_AHEAD = (11.0, 60.0, 130.0, 130.0, 130.0)
MEASURED, BY_GRIP = engine("1", 420.0, 95.0), engine("2", 300.0, 60.0, assumed=["grip"])
LAST = engine("9", 380.0, 90.0, assumed=["grip", "truck centers"])


def _of(
    pieces: Sequence[Piece], weights: Sequence[float], ahead: Sequence[Engine], helpers: Sequence[Engine] = ()
) -> Drawn:
    """A train of cars of which less is known the farther back they are, every third with couplers on its trucks."""
    cars = [
        spot(
            car(
                f"C{k}", grams, 120.0 + 11.0 * k, mount="truck" if k % 3 == 2 else "body", load_g=30.0 * (k % 2),
                assumed=NOT_MEASURED[: k % 4],
            ),
            k + 1,
            loaded=True,
        )
        for k, grams in enumerate(weights)
    ]  # fmt: skip
    where = one_line(*pieces)
    one = train(where, cars, ahead, helpers)
    return Drawn(0, session(where, one, house=House()), (tuple(pieces),))


def _random(seed: int) -> Drawn:
    """A random session of whose cars less or more is known."""
    of = random_session(seed, "HO")

    def unknown(one: Train) -> Train:
        cars = (
            replace(riding, car=replace(riding.car, load_g=0.0, assumed=frozenset(NOT_MEASURED[: k % 4])))
            for k, riding in enumerate(one.cars)
        )
        return replace(one, cars=tuple(cars))

    return replace(of, session=replace(of.session, trains=(unknown(of.train),)))


def _sample(name: str, of_train: str) -> Drawn:
    """A sample session's train that keeps its cars all the way."""
    of = load(SAMPLES / name)
    one = of.train(of_train)
    return Drawn(0, replace(of, trains=(one,)), (tuple(one.route.pieces),))


TRAINS = {
    "light ahead on a grade": lambda: _of(UP, LIGHT_AHEAD, [MEASURED]),
    "an S curve with a helper": lambda: _of(S_CURVE, LIGHT_AHEAD[::-1], [BY_GRIP], [LAST]),
    "down a grade": lambda: _of(DOWN, (90.0, 30.0, 120.0, 60.0), [BY_GRIP]),
    "random, on two legs": lambda: _random(27),
    "random, short of power": lambda: _random(74),
    "a sample's": lambda: _sample("sunday_shelf", "Quarry Mixed 3"),
}


def _near(found: tuple[float | None, float | None] | None, expected: tuple[float, float]) -> None:
    assert found is not None
    for one, other in zip(found, expected, strict=True):
        assert one is not None
        assert one == pytest.approx(other, rel=ENDS)


FEW = ("an S curve with a helper", "random, on two legs")
"""Those that every run of the tests takes; CONSIST_ALL_DRAWS=1 takes all."""


@pytest.mark.parametrize("name", TRAINS if os.environ.get("CONSIST_ALL_DRAWS") else FEW)
def test_the_ends_and_the_share_are_those_of_plain_draws(name: str) -> None:
    of = TRAINS[name]()
    known = prepared(of.session, of.train)
    found = range_of(known, known.run())
    expected = plain_draws(of, DRAWS, seed=len(name))
    least, most = PlainDraws.ends(expected.side_use)
    _near(found.margin, (1.0 / most, 1.0 / least))
    engines = bool(of.train.engines or of.train.helpers)
    if engines:
        low, high = PlainDraws.ends(expected.power_use)
        if math.isfinite(high) and low > 0.01:
            _near(found.power_use, (low, high))
    hold_margin = of.session.house.hold_margin
    held = [
        use * hold_margin > 1.0 or (engines and max(pull, hold) > 1.0)
        for use, pull, hold in zip(expected.side_use, expected.power_use, expected.hold_use, strict=True)
    ]
    assert found.hold_share == pytest.approx(sum(held) / DRAWS, abs=SHARE)
