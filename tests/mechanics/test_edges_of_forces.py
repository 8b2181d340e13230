"""Forces where a train has no cars, engines that have nothing, other engines ahead, and cuts seen over a stretch."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders import car, curve, engine, straight, world

from consist.mechanics.evaluate import stand
from consist.mechanics.forces import Cut, Engines, forces
from consist.mechanics.power import Hauled, even_hauling
from consist.mechanics.tables import RouteTables

__all__: list[str] = []

TRACK = (straight(1500.0, 1.0), curve(600.0, 90.0, grade_percent=2.0), straight(3000.0, -1.0))


def test_other_engines_take_the_place_of_a_trains_own() -> None:
    """Behind other engines the cars and helpers stay, and none of the train's own engines does."""
    of = world(TRACK, [car(), car("C2", 80.0, 120.0)], [engine("1"), engine("2")], [engine("3", length_mm=170.0)])
    other = replace(of.vehicles.pick(slice(0, 1)), length_mm=np.array([333.0]), ahead=1, behind=0)
    made = of.vehicles.behind_engines(other)
    assert made.length_mm.tolist() == [333.0, 150.0, 120.0, 170.0]
    assert (made.ahead, made.behind) == (1, 1)


def test_a_route_looked_at_more_finely_has_shorter_steps() -> None:
    of = world(TRACK, [car()], [engine()])
    line = of.train.route.centreline
    once, twice = (RouteTables(line, curve_share=0.0, flange_drag=0.0, step_mm=20.0, finer=finer) for finer in (1, 2))
    assert (once.step_mm, twice.step_mm) == (20.0, 10.0)


def test_helpers_without_a_car_between_them_and_the_lead_engine_have_nothing_to_do() -> None:
    of = world(TRACK, [], [engine("1")], [engine("2")])
    columns = of.vehicles.columns
    standing = stand(columns, of.tables, np.array([500.0, 2500.0]))
    cut, engines = Cut(columns, standing, 0.03), Engines(columns, standing.share)
    given, along = engines.balanced(cut)
    assert given.share.tolist() == [0.0, 0.0]
    assert [part.tolist() for part in given.by_engine] == [[0.0, 0.0], [0.0, 0.0]]
    assert along.shape == (0, 2)


def test_engines_at_both_ends_that_have_nothing_leave_all_to_the_lead_engine() -> None:
    """Pull of 1 g and 400 g of weight on a 3 % grade: what the cars take and no more is in the first coupling."""
    weak = [engine(str(k), pull_g=1.0) for k in range(2)]
    of = world([straight(4000.0, 3.0)], [car(), car("C2")], weak[:1], weak[1:])
    columns = of.vehicles.columns
    standing = stand(columns, of.tables, np.array([2500.0]))
    found = forces(columns, standing, 0.0)
    # 100 g of car on 3 % and 1.4 % of rolling: 4.4 g each; the helper gives nothing, so nothing is pushed
    assert found.tension[:, 0].tolist() == pytest.approx([8.8, 4.4, 0.0])
    assert np.isinf(found.engine_share[0])


def test_a_train_that_pushes_a_little_has_its_signs_right() -> None:
    """Two cars that roll freely down a grade a little steeper than its curve holds push, and drag hinders that."""
    free = car("F", 100.0, rolling=0.0)
    of = world([straight(400.0), curve(300.0, 90.0, grade_percent=-3.2), straight(900.0)], [free, free], [engine()])
    columns = of.vehicles.columns
    standing = stand(columns, of.tables, np.linspace(700.0, 1200.0, 20))
    along = Cut(columns, standing, 0.2).through()
    demand = Cut(columns, standing, 0.0).through()
    pushing = demand[-1] < 0.0
    assert pushing.any()
    share = standing.share[1:]
    for number in np.flatnonzero(pushing):
        rear = -_root(100.0 * share[1, number], 0.2 * abs(standing.behind[1, number]), 0.0, 0.0)
        assert along[0, number] == pytest.approx(-rear, rel=1e-9)


def _root(demand: float, front: float, rear: float, behind: float) -> float:
    """The force T ahead of a car with T = demand + front·|T| + behind + rear·|behind|, by trying both signs."""
    asked = demand + behind + rear * abs(behind)
    force = asked / (1.0 - front) if asked > 0.0 else asked / (1.0 + front)
    assert force == pytest.approx(asked + front * abs(force))
    return force


def test_a_cut_is_seen_over_all_its_stretch_or_a_part_of_it() -> None:
    """The same heads, whether a stretch is asked for or is all that the cut was made for."""
    of = world(TRACK, [car(), car("C2")], [engine()])
    tables, vehicles = of.tables, of.vehicles
    cut = replace(vehicles.pick(slice(1, None)), ahead=0)
    lead = replace(vehicles.pick(slice(0, 1)), ahead=1, behind=0)
    whole = Hauled(cut, tables, 0.0, of.length_mm, 400.0)
    for stretch in ((None, None), (700.0, None), (None, 2100.0), (700.0, 2100.0)):
        start, end = stretch[0] or 0.0, stretch[1] or of.length_mm
        seen = whole.seen(lead, *stretch)
        even = even_hauling(vehicles, tables, start, end)
        np.testing.assert_allclose(seen.heads_mm, even.heads_mm)
        np.testing.assert_allclose(seen.engine_share, even.engine_share, rtol=1e-9, atol=1e-12)
        assert seen.heads_mm.min() > start - 1e-6
        assert seen.heads_mm.max() < end + 1e-6
