"""What is drawn of a train: each figure by its own spread, what is known not at all, the same figures every time."""

from __future__ import annotations

from dataclasses import replace
from math import log

import numpy as np
import pytest
from builders import car, curve, engine, one_line, session, spot, straight, train
from numpy.typing import NDArray

from consist.house import House, Spread
from consist.learning.spread import COUNT, Unknowns, log_deviation, unknowns_of
from consist.session import CarInTrain, Session
from consist.stock import Car
from consist.trains import prepared

__all__: list[str] = []

Floats = NDArray[np.float64]
ALL = ("rolling", "weight", "truck centers")
LEAD, HELPER = engine("1", assumed=["grip"]), engine("9")


def _session(house: House | None = None, helpers: bool = True, assumed: tuple[str, ...] = ALL) -> Session:
    where = one_line(straight(200.0), curve(600.0, 60.0))
    loaded = spot(car("C3", load_g=100.0, assumed=["weight"]), 3, loaded=True)
    cars: list[Car | CarInTrain] = [car("C1", assumed=assumed), car("C2"), loaded]
    one = train(where, cars, [LEAD], [HELPER] if helpers else [])
    return session(where, one, house=house)


def _known(of: Session) -> Unknowns:
    return unknowns_of(prepared(of, of.trains[0]))


def _holds(factors: Floats) -> float:
    """The factor either way that holds nine tenths, the middle being 1."""
    ordered = np.sort(factors)
    assert np.median(factors) == pytest.approx(1.0, abs=1e-9)
    assert ordered[20] * ordered[380] == pytest.approx(1.0, abs=1e-3)
    return float(ordered[380])


def test_each_figure_has_the_spread_that_the_design_gives_it() -> None:
    """Rolling is of two parts, so that its ends are those of a sum; all others are drawn evenly."""
    known = _known(_session()).draws
    lead, first, second, third, helper = range(5)
    assert _holds(known.pull[lead]) == pytest.approx(1.25, rel=0.01)
    assert _holds(known.pull[helper]) == pytest.approx(1.05, rel=0.01)
    assert _holds(known.weight[first]) == pytest.approx(1.33, rel=0.01)
    assert [_holds(known.weight[k]) for k in (lead, second)] == pytest.approx([1.01, 1.01], rel=0.001)
    # of 200 g, 100 g of load are known to a hundredth: by hand 0.5·1.33 + 0.5·1.01
    assert np.sort(known.weight[third])[380] == pytest.approx(1.17, rel=0.01)
    assert _holds(known.truck_centers[first]) == pytest.approx(1.06, rel=0.005)
    assert _holds(known.curve) == pytest.approx(1.15, rel=0.01)
    assert _holds(known.flange_drag) == pytest.approx(2.0, rel=0.03)
    assert _holds(known.helper_part) == pytest.approx(1.5, rel=0.02)
    assert np.std(np.log(known.rolling[first])) == pytest.approx(log(1.6) / 1.645, rel=0.05)
    for given in (known.rolling[second], known.truck_centers[second], known.pull[first], known.rolling[lead]):
        assert np.all(given == 1.0)


def test_half_of_how_cars_roll_is_common_to_all() -> None:
    where = one_line(straight(500.0))
    cars = [car(f"C{k}", assumed=["rolling"]) for k in range(30)]
    for share in (0.0, 0.5, 0.9, 1.0):
        of = session(where, train(where, cars), house=House(spread=Spread(rolling_common=share)))
        logs = np.log(_known(of).draws.rolling)
        together = np.corrcoef(logs)[np.triu_indices(30, 1)].mean()
        assert together == pytest.approx(share, abs=0.05)
        assert np.std(logs) == pytest.approx(log_deviation(1.6), rel=0.05)


def test_the_flange_is_drawn_by_the_normal_spread_of_its_friction_and_angle() -> None:
    """By hand in HO: at a friction of 0.3 and 60 degrees λ is 0.942 and the limit 0.5·0.942/(1 - 0.942·9.93/16.5)."""
    only = Spread(flange_angle_deg=0.0)
    climb = np.sort(_known(_session(House(spread=only))).draws.climb)
    for number, friction in ((380, 0.3), (200, 0.4), (20, 0.5)):
        slope = (3.0**0.5 - friction) / (1.0 + friction * 3.0**0.5)
        assert climb[number] == pytest.approx(0.5 * slope / (1.0 - slope * 9.93 / 16.5), rel=0.01)


def test_no_draw_is_of_a_flange_that_climbs_by_itself_or_a_drag_past_a_half() -> None:
    wild = Spread(flange_friction=1.0, flange_angle_deg=20.0, flange_drag=10.0)
    known = _known(_session(House(flange_drag=0.1, flange_friction=1.5, flange_angle_deg=60.0, spread=wild)))
    assert np.all(known.draws.climb > 0.0)
    assert known.draws.flange_drag.max() * 0.1 <= 0.5 + 1e-9
    stiff = _known(_session(House(flange_drag=0.0)))
    assert np.all(np.isfinite(stiff.draws.flange_drag))


def test_what_matters_to_no_vehicle_is_not_unknown() -> None:
    of_all = {one.what for one in _known(_session()).shared}
    assert of_all == {
        "flange friction", "flange angle", "rolling", "curve resistance", "flange drag", "helper's part",
    }  # fmt: skip
    assert "helper's part" not in {one.what for one in _known(_session(helpers=False)).shared}
    assert "rolling" not in {one.what for one in _known(_session(assumed=("weight",))).shared}
    none = Spread(1.0, 0.5, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0)
    known = _known(_session(House(spread=none)))
    assert (known.shared, known.single) == ((), ())
    assert np.all(known.draws.weight == 1.0)
    assert np.ptp(known.draws.climb) == 0.0


def test_a_figure_that_gets_known_leaves_the_other_draws_as_they_were() -> None:
    before, after = _known(_session()).draws, _known(_session(assumed=("weight", "truck centers"))).draws
    assert np.all(after.rolling[1] == 1.0)
    assert not np.all(before.rolling[1] == 1.0)
    for name in ("weight", "pull", "truck_centers", "curve", "flange_drag", "helper_part", "climb"):
        assert np.array_equal(getattr(before, name), getattr(after, name)), name


def test_draws_fill_their_space_and_are_hardly_alike() -> None:
    """Of any two figures that all share every quarter of their square has a quarter of the draws, nearly."""
    known = _known(_session())
    drawn = [one.drawn for one in known.shared]
    for k, one in enumerate(drawn):
        assert len(np.unique(one)) == COUNT
        for other in drawn[:k]:
            both = [np.mean(((one > 0.0) == a) & ((other > 0.0) == b)) for a in (0, 1) for b in (0, 1)]
            assert both == pytest.approx([0.25] * 4, abs=0.02)
    single = np.array([one.drawn for one in known.single])
    alike = np.corrcoef(single) - np.eye(len(single))
    assert np.abs(alike).max() < 0.2


def test_engines_that_stand_in_are_one_engine_several_times() -> None:
    of = _session()
    one = replace(of.trains[0], engines=(LEAD, LEAD), helpers=())
    known = unknowns_of(prepared(replace(of, trains=(one,)), one))
    assert np.array_equal(known.draws.pull[0], known.draws.pull[1])
    assert len(known.singles("pull")) == 1
