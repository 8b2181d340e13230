"""Draws at few places against the same trains run in full, one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import plain
import pytest
from builders import SAMPLES, car, curve, engine, plain_house, plain_pieces, plain_train, straight, world
from many_sessions import Drawn, backing_session, random_session

from consist.learning.spread import unknowns_of
from consist.mechanics import Limits, Vehicles, evaluate, run
from consist.session import Session, load
from consist.trains import Draws, Prepared, at_draws, prepared, stock_of

__all__: list[str] = []

SEEN = 1.0 + 1e-9
"""A figure at few places over that in full, rounding left aside."""


def _as_it_is(of: Prepared, count: int) -> Draws:
    every, one = np.ones((len(stock_of(of)), count)), np.ones(count)
    return Draws(every, every, every, every, one, one, one, np.full(count, of.limits.climb))


def _in_full(of: Prepared, draws: Draws, number: int) -> tuple[float, float, float]:
    """One draw of a train, its vehicles and tables made anew, run over each leg."""
    limits = Limits(of.limits.tip, float(draws.climb[number]))
    lead, cars = len(of.engines), [car.car.name for car in of.train.cars]
    found = []
    for leg in of.train.legs:
        riding = [lead + cars.index(one.car.name) for one in leg.cars]
        rows = [*range(lead), *riding, *range(lead + len(cars), len(stock_of(of)))][:: -1 if leg.backing else 1]
        train, known = of.on_leg(leg, of.engines, leg.cars, of.train.helpers), of.tables(leg)
        tables = known.asking(
            np.array(known.curve_share * draws.curve[number]), np.array(known.flange_drag * draws.flange_drag[number])
        )
        # of lead engines and helpers the part is of those that are then behind, against those ahead
        part = draws.helper_part[number] ** (-1.0 if leg.backing else 1.0)
        centers = train.truck_centers_mm * draws.truck_centers[rows, number]
        drawn = Vehicles(
            train.length_mm,
            centers,
            np.where(train.on_truck, 0.5 * centers, train.pivot_mm),
            train.weight_g * draws.weight[rows, number],
            train.rolling * draws.rolling[rows, number],
            train.pull_g * draws.pull[rows, number],
            train.on_truck,
            train.ahead,
            train.behind,
            np.array(part),
            leg.backing,
        )
        peaks = run(drawn, tables, *of.train.leg_mm(leg), limits)
        pulled, held = (peaks.power_use.value[0], peaks.hold_use.value[0]) if drawn.engines else (0.0, 0.0)
        found.append((peaks.use.value.max(initial=0.0), pulled, held))
    return tuple(float(max(figures)) for figures in zip(*found, strict=True))  # type: ignore[return-value]


def _sessions() -> dict[str, Session]:
    of = {name: load(SAMPLES / name) for name in ("club_night", "sunday_shelf")}
    picked = dict.fromkeys(("Ore Loads 1", "Hill Freight 21", "Valley Local"), of["club_night"])
    backing = backing_session(9)
    assert backing.train.engines
    assert backing.train.helpers
    steps = dict.fromkeys(("Mine Turn 1", "Wharf Job 2"), load(SAMPLES / "steps_day"))
    return {**picked, "Quarry Mixed 3": of["sunday_shelf"], **steps, backing.train.name: backing.session}


@pytest.mark.parametrize(("train", "of"), _sessions().items())
def test_few_places_see_each_draw_nearly_as_a_full_run_does(train: str, of: Session) -> None:
    known = prepared(of, of.train(train))
    draws = unknowns_of(known).draws
    at = at_draws(known, known.run(), draws)
    for number in range(0, len(draws), 27):
        full = _in_full(known, draws, number)
        seen = at.side_use[number], at.power_use[number], at.hold_use[number]
        for one, whole in zip(seen, full, strict=True):
            assert one <= SEEN * whole
            assert one == pytest.approx(whole, rel=0.04, abs=1e-4)


@pytest.mark.parametrize("of", [*map(random_session, range(1, 30)), *map(backing_session, range(1, 12))])
def test_a_draw_of_the_train_as_it_is_comes_to_what_its_trip_does(of: Drawn) -> None:
    known = prepared(of.session, of.train)
    trip = known.run()
    at = at_draws(known, trip, _as_it_is(known, 3))
    assert at.side_use == pytest.approx(trip.worst_use, rel=1e-9)
    powered = bool(known.engines or of.train.helpers)
    assert at.power_use == pytest.approx(trip.power_use if powered else 0.0, rel=1e-9)
    assert at.hold_use == pytest.approx(trip.hold_use if powered else 0.0, rel=1e-9)


@pytest.mark.parametrize("part", [0.4, 1.0, 2.5])
@pytest.mark.parametrize("grade", [2.0, -3.0])
def test_a_helper_takes_its_part_as_the_plain_model_has_it(part: float, grade: float) -> None:
    """Forces of each coupling and the shares of the engines, at places along a curve up and down a grade."""
    of = world(
        [straight(300.0, grade), curve(600.0, 60.0, grade_percent=grade), straight(300.0)],
        [car(f"C{k}", 60.0 + 20.0 * k) for k in range(5)],
        [engine("1", pull_g=120.0)],
        [engine("9", 300.0, 70.0), engine("10", 250.0, 50.0)],
    )
    heads = np.linspace(10.0, of.length_mm - 10.0, 17)
    train = replace(of.vehicles, helper_part=np.array(part))
    found = evaluate(train, of.tables, heads, of.limits)
    stock = [
        replace(vehicle, part=part if number >= 6 else 1.0)
        for number, vehicle in enumerate(plain_train(of.train.engines, of.train.cars, of.train.helpers))
    ]
    track, house = plain.Track(plain_pieces(of.train.route.pieces)), plain_house(of.session)
    for number, head in enumerate(heads):
        at = plain.figures(stock, track, house, float(head))
        assert found.forces.tension[:, number] == pytest.approx(at.tension, rel=1e-3, abs=1e-3)
        share = found.forces.engine_share[number]
        assert max(share, 0.0) == pytest.approx(at.power_use, rel=1e-4, abs=1e-6)
        assert max(-share, 0.0) == pytest.approx(at.hold_use, rel=1e-4, abs=1e-6)
