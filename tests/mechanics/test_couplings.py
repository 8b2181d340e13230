"""Couplings worked out once for many orders stand as those orders do, worked out one by one."""

from __future__ import annotations

import numpy as np
import pytest
from builders import car, curve, engine, straight, world

import consist.mechanics.couplings
from consist.mechanics import Couplings, RouteTables, Vehicles, stand
from consist.trains import prepared

__all__: list[str] = []

HEADS_MM = np.array([900.0, 1750.0, 2412.5, 3300.0])


def _train() -> tuple[Vehicles, RouteTables]:
    pieces = [
        straight(800.0, 1.5),
        curve(610.0, 90.0, "left", easement_mm=150.0),
        straight(300.0),
        curve(700.0, 60.0, "right"),
    ]
    cars = [car(f"C{k}", 90.0 + 7.0 * (k % 4), 120.0 + 9.0 * (k % 5)) for k in range(11)]
    of = world(pieces, cars, [engine("1", 400.0, 120.0)])
    ready = prepared(of.session, of.train)
    return ready.arrays(ready.engines, of.train.cars, ()), ready.runs[0]


def _shuffled(vehicles: Vehicles, orders: int, seed: int) -> np.ndarray:
    chance = np.random.default_rng(seed)
    cars = np.array([chance.permutation(len(vehicles) - 1) + 1 for _ in range(orders)]).T
    return np.concatenate((np.zeros((1, orders), dtype=np.intp), cars))


def _compare(couplings: Couplings, vehicles: Vehicles, tables: RouteTables, heads_mm: np.ndarray, seed: int) -> None:
    standing = _shuffled(vehicles, 30, seed)
    found = couplings.standing(couplings.rows(standing, heads_mm))
    expected = stand(vehicles.pick(standing[:, :, None]), tables, heads_mm)
    for name in ("share", "ahead", "behind"):
        assert getattr(found, name) == pytest.approx(getattr(expected, name), abs=1e-8), name
    assert np.abs(expected.ahead).max() > 0.05


def test_orders_stand_as_they_do_one_by_one_whatever_was_asked_before() -> None:
    vehicles, tables = _train()
    couplings = Couplings(vehicles, tables)
    assert couplings.able
    for seed in range(4):
        _compare(couplings, vehicles, tables, HEADS_MM, seed)


def test_other_heads_are_not_told_the_figures_of_those_before() -> None:
    vehicles, tables = _train()
    couplings = Couplings(vehicles, tables)
    _compare(couplings, vehicles, tables, HEADS_MM, 1)
    _compare(couplings, vehicles, tables, HEADS_MM + 40.0, 1)
    _compare(couplings, vehicles, tables, HEADS_MM[:2], 1)


def test_what_is_kept_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    vehicles, tables = _train()
    monkeypatch.setattr(consist.mechanics.couplings, "MOST_KEPT", 500)
    couplings = Couplings(vehicles, tables)
    for seed in range(4):
        _compare(couplings, vehicles, tables, HEADS_MM, seed)
    assert couplings._figures.size < 40 * 500


def test_a_vehicle_alone_has_no_coupling() -> None:
    vehicles, tables = _train()
    assert not Couplings(vehicles.pick(slice(0, 1)), tables).able
