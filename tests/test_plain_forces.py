"""The plain model's forces by hand and by what must hold of any train, since the package is held against it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import plain
import pytest
from plain import House, Piece, Track, Vehicle
from plain_trains import CURVE, CURVE_MM, HELPER, HILLS, HOUSE, LEAD, LEVEL, TRAINS, WITHOUT_DRAG, box, scattered

__all__: list[str] = []


def test_a_curve_adds_what_the_hobby_says() -> None:
    """In HO 32/R per cent, R in inches (widely published): within 2 %, and by the design 8.02 mm/R."""
    assert pytest.approx(8.02, abs=0.005) == CURVE_MM
    around = plain.figures([box()], CURVE, WITHOUT_DRAG, 1500.0)
    assert around.resistance == pytest.approx(100.0 * (0.014 + CURVE_MM / 600.0))
    assert around.resistance / 100.0 - 0.014 == pytest.approx(32.0 / (600.0 / 25.4) / 100.0, rel=0.02)


@pytest.mark.parametrize("name", TRAINS)
@pytest.mark.parametrize("drag", [0.0, 0.03, 0.3])
def test_forces_add_up(name: str, drag: float) -> None:
    """What engines give is what cars take, in all and behind every coupling."""
    train = TRAINS[name]
    seen_signs = set()
    for head in scattered(HILLS):
        at = plain.figures(train, HILLS, House(flange_drag=drag), head)
        seen_signs.add(at.resistance > 0.0)
        taken = _taken(train, at, drag, head)
        assert at.resistance == pytest.approx(sum(taken), abs=1e-10)
        if name != "no engine":
            assert sum(at.given) == pytest.approx(sum(taken), abs=1e-10)
        for k, force in enumerate(at.tension, start=1):
            assert force == pytest.approx(sum(taken[k:]) - sum(at.given[k:]), abs=1e-10)
    assert seen_signs == {True, False}


def _taken(train: Sequence[Vehicle], at: plain.Figures, drag: float, head: float) -> list[float]:
    """Each car's W·(slope + rolling + curve) + drag·(|side pull ahead| + |side pull behind|)."""
    taken, face = [], head
    for k, one in enumerate(train):
        middle = face - one.length_mm / 2.0
        trucks = [HILLS.point(middle + side * one.truck_centers_mm / 2.0) for side in (1.0, -1.0)]
        slope = (trucks[0].z - trucks[1].z) / one.truck_centers_mm
        curve = CURVE_MM * (trucks[0].curvature + trucks[1].curvature) / 2.0
        own = one.weight_g * (slope + one.rolling + curve) + drag * (abs(at.pull_front[k]) + abs(at.pull_rear[k]))
        assert at.drag[k] == (0.0 if one.engine else drag * (abs(at.pull_front[k]) + abs(at.pull_rear[k])))
        taken.append(0.0 if one.engine else own)
        face -= one.length_mm
    return taken


@pytest.mark.parametrize("name", [name for name in TRAINS if name != "no engine"])
def test_every_engine_gives_the_same_share_of_what_it_can(name: str) -> None:
    train = TRAINS[name]
    for head in scattered(HILLS):
        at = plain.figures(train, HILLS, HOUSE, head)
        face = head
        for one, given in zip(train, at.given, strict=True):
            middle = face - one.length_mm / 2.0
            front, rear = (HILLS.point(middle + side * one.truck_centers_mm / 2.0) for side in (1.0, -1.0))
            bends = CURVE_MM * (front.curvature + rear.curvature) / 2.0
            own = one.weight_g * ((front.z - rear.z) / one.truck_centers_mm + bends)
            if one.engine and at.resistance > 0.0:
                assert at.hold_use == 0.0
                assert at.power_use == pytest.approx(given / (0.85 * one.pull_g - own))
            elif one.engine:
                assert at.power_use == 0.0
                assert at.hold_use == pytest.approx(-given / (0.85 * one.pull_g + own))
            face -= one.length_mm
        if at.resistance > 0.0:
            assert at.power_use == pytest.approx(at.resistance / at.usable)


def test_a_level_train_by_hand() -> None:
    """Two cars of 100 g at 1.4 % take 2.8 g; the engine has 85 g of 100."""
    at = plain.figures([replace(LEAD, pull_g=100.0), box(), box()], LEVEL, HOUSE, 2500.0)
    assert at.tension == pytest.approx([2.8, 1.4])
    assert at.power_use == pytest.approx(2.8 / 85.0)
    assert (at.use, at.drag, at.hold_use) == ([0.0] * 3, [0.0] * 3, 0.0)


def test_engines_share_a_hill_by_what_they_have_left() -> None:
    """Up 2 %: four cars of 100 g take 13.6 g; the engines have 85 - 8 = 77 g and 42.5 - 10 = 32.5 g, 109.5 in all."""
    grade = Track([Piece(length_mm=3000.0, grade_percent=2.0)])
    lead, helper = replace(LEAD, weight_g=400.0, pull_g=100.0), replace(HELPER, weight_g=500.0, pull_g=50.0)
    at = plain.figures([lead, *[box()] * 4, helper], grade, HOUSE, 2500.0)
    assert at.given[0] == pytest.approx(77.0 * 13.6 / 109.5)
    assert at.given[-1] == pytest.approx(32.5 * 13.6 / 109.5)
    assert at.tension[-1] == pytest.approx(-at.given[-1])
    assert at.tension[0] == pytest.approx(at.given[0])


def test_all_engines_hold_a_train_back_by_what_they_can_hold() -> None:
    """Down 3 %: four cars of 100 g push with 6.4 g; the engines can hold 85 - 12 = 73 g and 42.5 - 15 = 27.5 g."""
    grade = Track([Piece(length_mm=3000.0, grade_percent=-3.0)])
    lead, helper = replace(LEAD, weight_g=400.0, pull_g=100.0), replace(HELPER, weight_g=500.0, pull_g=50.0)
    at = plain.figures([lead, *[box()] * 4, helper], grade, HOUSE, 2500.0)
    assert at.resistance == pytest.approx(-6.4)
    assert at.given[0] == pytest.approx(-73.0 * 6.4 / 100.5)
    assert at.given[-1] == pytest.approx(-27.5 * 6.4 / 100.5)
    # the lead is pushed and the helper hangs on
    assert at.tension[0] == pytest.approx(at.given[0])
    assert at.tension[-1] == pytest.approx(-at.given[-1])
    assert at.power_use == 0.0
    assert at.hold_use == pytest.approx(6.4 / 100.5)


@pytest.mark.parametrize("helpers", [0, 1])
def test_without_usable_pull_the_lead_engine_takes_everything(helpers: int) -> None:
    grade = Track([Piece(length_mm=3000.0, grade_percent=3.0)])
    weak = replace(LEAD, weight_g=400.0, pull_g=10.0)
    at = plain.figures([weak, *[box()] * 3, *[weak] * helpers], grade, HOUSE, 2500.0)
    assert at.usable == pytest.approx((8.5 - 12.0) * (1 + helpers))
    assert (at.power_use, at.hold_use) == (math.inf, 0.0)
    assert at.given == pytest.approx([3 * 4.4, *[0.0] * (3 + helpers)])
    assert at.tension[0] == pytest.approx(3 * 4.4)


@pytest.mark.parametrize("helpers", [0, 1])
def test_with_nothing_to_hold_with_the_train_runs_away(helpers: int) -> None:
    grade = Track([Piece(length_mm=3000.0, grade_percent=-3.0)])
    weak = replace(LEAD, weight_g=400.0, pull_g=10.0)
    at = plain.figures([weak, *[box()] * 3, *[weak] * helpers], grade, HOUSE, 2500.0)
    assert (at.power_use, at.hold_use) == (0.0, math.inf)
    assert at.given == pytest.approx([-3 * 1.6, *[0.0] * (3 + helpers)])


@pytest.mark.parametrize("weak_place", [0, -1])
@pytest.mark.parametrize("grade_percent", [3.0, -3.0])
def test_an_engine_that_cannot_hold_its_own_is_carried_by_the_other(weak_place: int, grade_percent: float) -> None:
    """On 3 % one of 400 g with 8.5 g is short of 3.5 g, the other has 68 - 10.5 g: they share what both have."""
    grade = Track([Piece(length_mm=3000.0, grade_percent=grade_percent)])
    train = [HELPER, *[box()] * 3, HELPER]
    train[weak_place] = replace(LEAD, weight_g=400.0, pull_g=10.0)
    at = plain.figures(train, grade, HOUSE, 2500.0)
    share = 3 * (4.4 if grade_percent > 0.0 else 1.6) / (57.5 - 3.5)
    assert max(at.power_use, at.hold_use) == pytest.approx(share)
    assert abs(at.given[weak_place]) == pytest.approx(3.5 * share)
    assert sum(at.given) == pytest.approx(at.resistance)


def test_a_last_gram_of_usable_pull_is_still_shared_out() -> None:
    """Up 3 %, three cars of 100 g take 13.2 g of the 1 g that is left of a pull of 13 g."""
    grade = Track([Piece(length_mm=3000.0, grade_percent=3.0)])
    at = plain.figures([replace(LEAD, weight_g=400.0, pull_g=13.0 / 0.85), *[box()] * 3], grade, HOUSE, 2500.0)
    assert at.power_use == pytest.approx(13.2)


def test_where_no_share_is_enough_the_lead_engine_takes_everything() -> None:
    """What a helper pushes is used up by side loads before it comes to a lead engine that cannot carry itself."""
    house = House(flange_drag=0.5, reserve=0.0)
    uphill = Track([Piece(radius_mm=500.0, turn="left", angle_deg=300.0, grade_percent=3.0)])
    own = 400.0 * (0.03 + CURVE_MM / 500.0)
    lead, helper = (box(weight_g=400.0, engine=True, pull_g=own + pull) for pull in (-10.0, 11.0))
    at = plain.figures([lead, *[box()] * 6, helper], uphill, house, 2500.0)
    assert at.usable == pytest.approx(1.0)
    assert at.power_use == math.inf
    assert at.given == pytest.approx([at.resistance, *[0.0] * 7])
    assert at.tension[-1] == 0.0


def test_a_helper_alone_pushes_all_cars_by_hand() -> None:
    """Up 2 %, three cars of 100 g: 10.2 g in all, and every coupling is pushed by what stands ahead of it."""
    grade = Track([Piece(length_mm=3000.0, grade_percent=2.0)])
    at = plain.figures([*[box()] * 3, HELPER], grade, HOUSE, 2500.0)
    assert at.tension == pytest.approx([-3.4, -6.8, -10.2])
    assert at.given[-1] == pytest.approx(10.2)
    assert at.power_use == pytest.approx(10.2 / (0.85 * 80.0 - 7.0))


def test_a_pulled_car_on_a_curve_by_hand() -> None:
    """An engine and two cars alike: their axes turn by C/R from each to the next, and the coupling by half of it.

    The last car takes w and d·s of what it is pulled with: T = w/(1 - d·s). The one ahead of it takes w and d·s of
    both: T' = (T·(1 + d·s) + w)/(1 - d·s).
    """
    house = House(flange_drag=0.3)
    at = plain.figures([box(engine=True, pull_g=50.0), box(), box()], CURVE, house, 2000.0)
    w, ds = 100.0 * (0.014 + CURVE_MM / 600.0), 0.3 * math.sin(150.0 / 600.0 / 2.0)
    last = w / (1.0 - ds)
    first = (last * (1.0 + ds) + w) / (1.0 - ds)
    assert at.tension == pytest.approx([first, last])
    assert at.drag[2] == pytest.approx(ds * last)


def test_a_pushed_car_on_a_curve_by_hand() -> None:
    """The same behind which a helper pushes: the foremost car is pushed with P = w/(1 - d·s), drag and all."""
    house = House(flange_drag=0.3)
    at = plain.figures([box(), box(), box(engine=True, pull_g=50.0)], CURVE, house, 2000.0)
    w, ds = 100.0 * (0.014 + CURVE_MM / 600.0), 0.3 * math.sin(150.0 / 600.0 / 2.0)
    first = w / (1.0 - ds)
    last = (first * (1.0 + ds) + w) / (1.0 - ds)
    assert at.tension == pytest.approx([-first, -last])


def test_going_down_side_loads_help_to_hold() -> None:
    """Two cars push an engine downhill: the last with p = a/(1 + d·s), both with p' = (p·(1 - d·s) + a)/(1 + d·s)."""
    house = House(flange_drag=0.3)
    down = Track([Piece(radius_mm=600.0, turn="left", angle_deg=300.0, grade_percent=-6.0)])
    at = plain.figures([box(engine=True, pull_g=50.0), box(), box()], down, house, 2000.0)
    a, ds = 100.0 * (0.06 - 0.014 - CURVE_MM / 600.0), 0.3 * math.sin(150.0 / 600.0 / 2.0)
    last = a / (1.0 + ds)
    first = (last * (1.0 - ds) + a) / (1.0 + ds)
    assert at.tension == pytest.approx([-first, -last])
