"""What ranges tell: narrower where more is known, what narrows them most, and how many draws hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from builders import SAMPLES, car, curve, engine, one_line, session, straight, train

from consist.house import House, Spread
from consist.learning.ranges import ToMeasure, TrainRange, narrowing, range_of
from consist.learning.spread import unknowns_of
from consist.session import Session, load
from consist.stock import Car, Engine
from consist.trains import prepared

__all__: list[str] = []

SHELF, NIGHT = load(SAMPLES / "sunday_shelf"), load(SAMPLES / "club_night")
KEYS = {
    "flange friction": ("flange_friction", 0.0),
    "flange angle": ("flange_angle_deg", 0.0),
    "curve resistance": ("curve_resistance", 1.0),
    "flange drag": ("flange_drag", 1.0),
    "helper's part": ("helper_part", 1.0),
}
"""What all share, by the key of [house.spread], and its value where it is known."""
AS_BY_HAND = 0.04
"""How far `narrows` may be from what a draw anew comes to, as a share of the range."""


def _range(of: Session, name: str | None = None) -> TrainRange:
    one = of.trains[0] if name is None else of.train(name)
    # made anew, so that nothing is kept of a train that was there before
    known = prepared(replace(of), one)
    return range_of(known, known.run())


def _wide(found: TrainRange, of: str = "margin") -> float:
    ends = found.margin if of == "margin" else found.power_use
    assert ends is not None
    least, most = ends
    assert least is not None
    assert most is not None
    return float(np.log(most / least))


def _known(of: Session, train: str, what: str, name: str | None) -> Session:
    """The session with one thing known, at its middle."""
    if what in KEYS:
        key, value = KEYS[what]
        spread = replace(of.house.spread, **{key: value})
        return replace(of, house=replace(of.house, spread=spread))
    one = of.train(train)

    def changed(stock: Car) -> Car:
        return replace(stock, assumed=stock.assumed - {what}) if name in (None, stock.name) else stock

    cars = tuple(replace(riding, car=changed(riding.car)) for riding in one.cars)
    others = (replace(one, cars=cars) if each is one else each for each in of.trains)
    return replace(of, trains=tuple(others))


@pytest.mark.parametrize(
    ("of", "name"),
    [
        (SHELF, "Quarry Mixed 3"),
        (SHELF, "Creamery 5"),
        (SHELF, "Coal Empties 2"),
        (NIGHT, "Ore Loads 1"),
        (NIGHT, "Hill Freight 21"),
        (NIGHT, "Valley Local"),
        (NIGHT, "Rack Extra"),
    ],
)
def test_what_narrows_a_range_does_so_where_it_is_really_known(of: Session, name: str) -> None:
    """Each thing that is told is put at its middle, and all the rest is drawn anew with it."""
    before = _range(of, name)
    assert before.measure
    assert [one.narrows for one in before.measure] == sorted((one.narrows for one in before.measure), reverse=True)
    tried = 0
    for one in before.measure:
        if one.what in ("pull", "weight"):
            continue  # these are never known for sure
        after = _range(_known(of, name, one.what, one.name), name)
        really = 1.0 - _wide(after, one.of) / _wide(before, one.of)
        assert one.narrows == pytest.approx(really, abs=AS_BY_HAND), one
        tried += 1
    assert tried


def test_nothing_that_narrows_a_range_much_is_left_untold() -> None:
    for of, name in ((SHELF, "Quarry Mixed 3"), (NIGHT, "Hill Freight 21")):
        before = _range(of, name)
        told = {(one.what, one.name) for one in before.measure}
        for what in (*KEYS, "rolling"):
            really = 1.0 - _wide(_range(_known(of, name, what, None), name)) / _wide(before)
            assert really < 0.02 + AS_BY_HAND or (what, None) in told, what


UPHILL = (straight(300.0, 1.5), curve(560.0, 90.0, grade_percent=1.5), straight(300.0))


def _simple(
    cars: Sequence[Car],
    engines: Sequence[Engine] = (),
    house: House | None = None,
    helpers: Sequence[Engine] = (),
) -> Session:
    where = one_line(*UPHILL)
    return session(where, train(where, cars, engines, helpers), house=house)


def _cars(*assumed: str, count: int = 5) -> list[Car]:
    return [car(f"C{k}", 90.0, 150.0, assumed=assumed) for k in range(count)]


ONLY_CARS = Spread(curve_resistance=1.0, flange_drag=1.0, flange_friction=0.0, flange_angle_deg=0.0)
CARS_ALONE = House(spread=ONLY_CARS)


def test_what_is_measured_narrows_the_range() -> None:
    lead = [engine("1", 300.0, 80.0)]
    wide = [
        _wide(_range(_simple(_cars(*assumed), lead, CARS_ALONE)))
        for assumed in ((), ("truck centers",), ("rolling",), ("rolling", "weight"))
    ]
    assert wide == sorted(wide)
    known, by_rule = _simple(_cars(), lead), _simple(_cars(), [engine("1", 300.0, 80.0, assumed=["grip"])])
    assert _wide(_range(known), "power use") < 0.5 * _wide(_range(by_rule), "power use")
    half = [*_cars("rolling", count=3), *(replace(one, name=f"M{one.name}") for one in _cars(count=2))]
    assert _wide(_range(_simple(half, lead, CARS_ALONE))) < wide[2]


def test_a_train_of_which_all_is_known_has_no_range() -> None:
    known = House(spread=replace(ONLY_CARS, weighed=1.0, pull=1.0))
    found = _range(_simple(_cars(), [engine("1")], known))
    assert found.margin is not None
    assert found.margin[0] == pytest.approx(found.margin[1], rel=1e-9)
    assert (found.hold_share, found.measure, found.first) == (0.0, (), None)
    held = _range(_simple([car("C1", 3.0), *_cars()], [engine("1")], replace(known, hold_margin=1.4)))
    assert held.hold_share == 1.0


def test_draws_hold_by_the_houses_own_judgement() -> None:
    """By margin where that is under hold_margin, which another house sets elsewhere; and by the engines' pull."""
    lead = [engine("1", 300.0, 80.0)]
    found = _range(_simple(_cars("rolling"), lead))
    assert found.margin is not None
    assert found.hold_share == 0.0
    middle = prepared(_simple(_cars("rolling"), lead), _simple(_cars("rolling"), lead).trains[0]).run().worst_use
    strict = House(care_margin=99.0, hold_margin=1.0 / middle)
    assert _range(_simple(_cars("rolling"), lead, strict)).hold_share == pytest.approx(0.5, abs=0.06)
    weak = [engine("1", 300.0, 27.0, assumed=["grip"])]
    short = _range(_simple(_cars(), weak))
    assert short.power_use is not None
    assert 0.1 < short.hold_share < 1.0
    assert {one.of for one in short.measure} == {"power use"}
    first = short.first
    assert first is not None
    assert (first.what, first.name) == ("pull", "1")
    # engines that only stand in hold no train
    stands_in = replace(_simple(_cars()), engines={"1": weak[0]})
    assert _range(stands_in).hold_share == 0.0


def test_where_no_car_feels_side_pull_there_is_no_margin_to_tell() -> None:
    where = one_line(straight(3000.0, 1.0))
    found = _range(session(where, train(where, _cars("rolling"), [engine("1")])))
    assert found.margin is None
    assert found.power_use is not None
    assert {one.of for one in found.measure} == {"power use"}
    bare = _range(session(where, train(where, _cars("rolling"))))
    assert (bare.margin, bare.power_use, bare.measure) == (None, None, ())


def test_a_train_that_has_no_car_or_no_pull_left_is_told_without_a_figure() -> None:
    where = one_line(*UPHILL)
    nobody = _range(session(where, train(where, [], [engine("1")])))
    assert (nobody.margin, nobody.hold_share) == (None, 0.0)
    spent = _range(_simple(_cars("rolling"), [engine("1", 500.0, 8.0)]))
    assert spent.power_use is not None
    assert spent.power_use[1] is None
    assert spent.hold_share == 1.0


def test_the_same_train_has_the_same_range() -> None:
    assert _range(NIGHT, "Hill Freight 21") == _range(load(SAMPLES / "club_night"), "Hill Freight 21")


def test_one_car_that_matters_is_found_among_many() -> None:
    """A figure that goes by one car's own deviate and a little noise of all others."""
    of = _simple(_cars("rolling", "weight", count=40), [engine("1")])
    known = unknowns_of(prepared(of, of.trains[0]))
    heavy = next(one for one in known.single if (one.what, one.name) == ("weight", "C17"))
    noise = np.random.default_rng(3).standard_normal(len(heavy.drawn))
    (first, *others) = narrowing(known, 0.3 * heavy.drawn + 0.05 * noise, "margin")
    assert (first.what, first.name) == ("weight", "C17")
    # what is left is the noise: a sixth of the whole by its deviation
    assert first.narrows == pytest.approx(1.0 - 0.05 / 0.3041, abs=0.03)
    assert not others


def test_what_to_do_is_said_in_words() -> None:
    def found(*measure: ToMeasure) -> str:
        return TrainRange((0.8, 1.2), 0.2, None, measure).to_do

    roll, flange = ToMeasure("rolling", "QTR 1", 0.31, "margin"), ToMeasure("flange angle", None, 0.4, "margin")
    assert found(roll) == "measure how QTR 1 rolls, which narrows the range of its margin by 31 %"
    assert found(flange, roll).startswith("measure how QTR 1 rolls, which narrows the range of its margin by 31 %, ")
    assert "the angle of flanges" in found(flange, roll)
    assert found(flange).startswith("the angle of flanges")
    assert "watch its first run" in found()
