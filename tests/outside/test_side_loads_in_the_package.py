"""What side loads cost a train, by the package: the closed form of an even curve, and a public calculation.

Both are those of `test_even_curve_growth.py` and `test_curve_growth_public_calculation.py`, which hold the plain
model to them and tell where they come from: T(n) = (w/κ)·(e^{κn} − 1) with κ = flange_drag·C/R, elementary; and,
a public discussion (no measurement), 33, 53 and 66 cars of 8 in and 4 oz up 2 % round 40 in.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders import HO, World, car, curve, engine, world

from consist.house import House
from consist.mechanics import RouteTables, evaluate, side_limits, vehicles
from consist.stock import Engine
from consist.track import Centreline

__all__: list[str] = []

LENGTH_MM, WEIGHT_G, ROLLING = 160.0, 90.0, 0.014
CURVE_MM = 0.0004 * 5729.58 * 304.8 / 87.1
"""What a curve of 1 mm radius would add in HO, as a share of weight."""
TABLED = 1e-5
"""What tabling the plan costs a force."""
OUNCE_G, INCH_MM = 28.349523125, 25.4


def _engine(name: str) -> Engine:
    return engine(name, 300.0, 500.0, LENGTH_MM)


def _round_a_curve(cars: int, radius_mm: float, drag: float | None, *, pushed: bool = False) -> World:
    """An engine and cars of its length; with its head at the route's end all stand on one even curve."""
    stock = [car(f"C{k}", WEIGHT_G, LENGTH_MM, rolling=ROLLING) for k in range(cars)]
    turned = math.degrees(((cars + 1) * LENGTH_MM + 100.0) / radius_mm)
    ahead, behind = ([], [_engine("1")]) if pushed else ([_engine("1")], [])
    house = House() if drag is None else House(flange_drag=drag)
    return world([curve(radius_mm, turned, "right")], stock, ahead, behind, house=house)


def _tension(of: World) -> np.ndarray:
    return evaluate(of.vehicles, of.tables, np.array([of.length_mm - 50.0]), of.limits).forces.tension[:, 0]


def _taken(radius_mm: float) -> float:
    return WEIGHT_G * (ROLLING + CURVE_MM / radius_mm)


def _smooth(cars: int, radius_mm: float, drag: float) -> float:
    growth = drag * LENGTH_MM / radius_mm
    return _taken(radius_mm) / growth * (math.exp(growth * cars) - 1.0)


@pytest.mark.parametrize("radius_mm", [450.0, 900.0, 3000.0])
@pytest.mark.parametrize("drag", [0.03, 0.1, 0.5])
@pytest.mark.parametrize("pushed", [False, True])
def test_pull_and_push_grow_car_by_car(radius_mm: float, drag: float, pushed: bool) -> None:
    """Each car adds d·sin(C/2R) of the forces at both its ends: T(n) = w/(2ds)·(qⁿ − 1), q = (1 + ds)/(1 − ds)."""
    cars = 25
    tension = _tension(_round_a_curve(cars, radius_mm, drag, pushed=pushed))
    cost = drag * math.sin(LENGTH_MM / (2.0 * radius_mm))
    growth = (1.0 + cost) / (1.0 - cost)
    for count in range(1, cars + 1):
        expected = _taken(radius_mm) / (2.0 * cost) * (growth**count - 1.0)
        found = -tension[count - 1] if pushed else tension[cars - count]
        assert found == pytest.approx(expected, rel=TABLED)


@pytest.mark.parametrize("radius_mm", [600.0, 1200.0, 2400.0])
def test_by_default_it_is_the_closed_form_of_an_even_curve(radius_mm: float) -> None:
    """With 0.03 a car; within (C/R)²/24 of the growth, as sin(C/2R) is less than C/2R."""
    cars, drag = 60, 0.03
    tension = _tension(_round_a_curve(cars, radius_mm, None))
    share = (LENGTH_MM / radius_mm) ** 2 / 24.0 * drag * LENGTH_MM / radius_mm * cars
    for behind in (1, 10, 30, cars):
        assert tension[cars - behind] == pytest.approx(_smooth(behind, radius_mm, drag), rel=1.1 * share + TABLED)
    without = _tension(_round_a_curve(cars, radius_mm, 0.0))
    assert without[0] == pytest.approx(cars * _taken(radius_mm))
    assert tension[0] - without[0] > 50.0 * share * tension[0]


def test_what_engines_are_asked_for_without_a_run_is_the_same() -> None:
    """The train's power is worked out by its cut alone, any engines put ahead of it after."""
    cars, radius_mm = 40, 600.0
    of = _round_a_curve(cars, radius_mm, 0.1)
    (along,) = of.prepared.hauled([_engine("2")])
    at = int(np.argmin(np.abs(along.heads_mm - (of.length_mm - 20.0))))
    cost = 0.1 * math.sin(LENGTH_MM / (2.0 * radius_mm))
    growth = (1.0 + cost) / (1.0 - cost)
    expected = _taken(radius_mm) / (2.0 * cost) * (growth**cars - 1.0)
    assert along.resistance[at] == pytest.approx(expected, rel=TABLED)
    usable = 0.85 * 500.0 - 300.0 * CURVE_MM / radius_mm
    assert along.use[at] == pytest.approx(expected / usable, rel=TABLED)


def _use_on_the_helix(ahead: int, cars: int, behind: int = 0) -> float:
    """The share of their pull that engines give which weigh next to nothing, all on 2 % round 40 in."""
    length = 8.0 * INCH_MM
    lead = [
        engine(f"{k}", 1e-6, 4.0 * OUNCE_G, length, truck_centers_mm=5.6 * INCH_MM) for k in range(ahead + behind)
    ]
    stock = [car(f"C{k}", 4.0 * OUNCE_G, length, truck_centers_mm=5.6 * INCH_MM, rolling=0.001) for k in range(cars)]
    train = vehicles(lead[:ahead], [(one, False) for one in stock], lead[ahead:], HO, 0.0)
    helix = Centreline([curve(40.0 * INCH_MM, 1000.0, grade_percent=2.0)])
    assert train.total_length_mm < helix.length_mm - 100.0
    tables = RouteTables(helix, curve_share=0.0, flange_drag=0.1, step_mm=8.25)
    limits = side_limits(HO.gauge_mm, HO.coupler_height_mm, 60.0, 0.4)
    return float(evaluate(train, tables, np.array([helix.length_mm - 50.0]), limits).forces.engine_share[0])


@pytest.mark.parametrize(("engines", "cars"), [(1, 33), (2, 53)])
def test_cars_that_engines_at_the_head_end_pull_up_the_helix(engines: int, cars: int) -> None:
    assert _use_on_the_helix(engines, cars) <= 1.0 < _use_on_the_helix(engines, cars + 1)


def test_cars_that_two_engines_move_where_they_share_the_train() -> None:
    """66 with the second in the middle: each then pulls 33. At the rear end it pushes as many as it would pull."""
    assert _use_on_the_helix(1, 66, behind=1) <= 1.0 < _use_on_the_helix(1, 67, behind=1)
    assert _use_on_the_helix(1, 66, behind=1) == pytest.approx(_use_on_the_helix(1, 33), rel=1e-4)
