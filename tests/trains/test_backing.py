"""Trains that back: against the plain model, against their mirror image, and in every other order."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from against_plain import differences
from builders import FINISH, START, car, case, curve, engine, layout, line, one_line, session, spot, straight, train
from hypothesis import given
from hypothesis import strategies as st
from many_sessions import backing_session, random_session

import consist
from consist.mechanics import MOVES, evaluate
from consist.order import plan_order
from consist.rules import findings
from consist.session import Session
from consist.trains import Orders, Prepared, prepared
from consist.trains.prepared import MOST_ENGINES, weakest

__all__: list[str] = []

SHARE = 0.005
STEP_MM = 8.0


@pytest.mark.parametrize("first", [False, True])
def test_peaks_of_random_trains_that_back_are_those_of_the_plain_model(first: bool) -> None:
    """The plain model is given the vehicles the other way round and the lines from their far ends."""
    found = [one for seed in range(12) for one in differences(backing_session(seed, first=first), STEP_MM)]
    assert len(found) > 500
    assert max(one.share for one in found) <= SHARE, max(found)


@given(st.integers(0, 2000), st.floats(0.05, 0.95))
def test_a_train_that_backs_is_the_mirror_of_itself_pulled_the_other_way(seed: int, part: float) -> None:
    """All forces' signs turned, and all else alike: statics, no source.

    The track is run from its far end with its grades kept, and left is right; what leads in the one is the rear of
    the other, so that the leading end stands where the rear end stood.
    """
    drawn = random_session(seed)
    one, pieces = drawn.train, [*itertools.chain.from_iterable(drawn.pieces)]
    pulled_over = one_line(*pieces, scale=drawn.session.layout.scale)
    pushed_over = one_line(*pieces[::-1], scale=drawn.session.layout.scale)
    riding = [replace(each, joins=0, leaves=1) for each in one.cars]
    worlds = []
    for where, pushed in ((pulled_over, False), (pushed_over, True)):
        of = train(where, riding, one.engines, one.helpers, pushed=[pushed])
        worlds.append(prepared(replace(drawn.session, layout=where, trains=(of,)), of))
    pulled, pushed_one = (
        (of, of.on_leg(leg := of.train.legs[0], one.engines, leg.cars, one.helpers), of.tables(leg)) for of in worlds
    )
    length_mm, total_mm = pulled[2].track.length_mm, pulled[1].total_length_mm
    head_mm = part * (length_mm + total_mm)
    there = evaluate(pulled[1], pulled[2], np.array([head_mm]), pulled[0].limits)
    back = evaluate(pushed_one[1], pushed_one[2], np.array([length_mm + total_mm - head_mm]), pulled[0].limits)
    shares = there.forces.engine_share, back.forces.engine_share
    finite = [bool(np.isfinite(share[0])) for share in shares]
    assert finite[0] == finite[1]
    if not all(finite):
        return  # which of several engines takes what none has to give is a matter of words
    close = partial(pytest.approx, rel=2e-3, abs=2e-3)
    assert back.forces.tension[::-1, 0].tolist() == close((-there.forces.tension[:, 0]).tolist())
    assert back.use[::-1, 0].tolist() == close(there.use[:, 0].tolist())
    assert back.forces.resistance[0] == close(there.forces.resistance[0])
    assert shares[1][0] == close(shares[0][0])


HILL = (straight(700.0), curve(420.0, 110.0, easement_mm=60.0), straight(500.0, 2.0), straight(300.0))
SWITCHBACK = layout(
    line("Foot, out", "Points, lower", *HILL),
    line("Points, stem", "Tail, end", straight(1500.0)),
    line("Points, upper", "Top, in", straight(300.0, 1.0), curve(500.0, 70.0, "right"), straight(900.0, 2.5)),
)
BY = ("Foot", "Tail", "Top")


def _switchback(weights: Sequence[float], engines: int = 1, helpers: int = 0) -> Prepared:
    cars = [car(f"C{k}", weight, 120.0 + 15.0 * (k % 3)) for k, weight in enumerate(weights)]
    own = [engine(str(k), 380.0, 130.0) for k in range(engines + helpers)]
    one = train(SWITCHBACK, cars, own[:engines], own[engines:], stops=BY, pushed=(False, True))
    return prepared(session(SWITCHBACK, one), one)


def test_what_is_pushed_up_is_in_buff_and_what_is_pulled_up_in_tension() -> None:
    up, back = _switchback([90.0] * 5).run().legs
    assert (up.leg.backing, back.leg.backing) == (False, True)
    assert up.names == ("0", "C0", "C1", "C2", "C3", "C4")
    assert back.names == up.names[::-1]
    assert up.peaks.tension.value[0] == max(up.peaks.tension.value) > 5 * 90.0 * 0.02
    # next to the engine all five are pushed, and next to the last car one
    pushes = back.peaks.buff.value
    assert pushes.tolist() == sorted(pushes.tolist())
    assert pushes[-1] > 5 * 90.0 * 0.025
    assert np.all(back.peaks.in_buff[:5])


@pytest.mark.parametrize("helpers", [0, 1])
def test_orders_at_few_places_are_never_above_their_full_run_and_come_near_it(helpers: int) -> None:
    of = _switchback([25.0, 140.0, 60.0, 90.0, 35.0], helpers=helpers)
    orders = Orders(of)
    every = np.array([*itertools.permutations(range(5))], dtype=np.intp)
    orders.trip(range(5))
    orders.trip([4, 3, 2, 1, 0])
    near, tried = 0, every[::7]
    for number, uses in zip(tried, orders.at_places(tried), strict=True):
        trip = of.in_order([of.train.cars[car] for car in number]).run()
        full = np.array([trip.uses[f"C{car}"] for car in range(5)])
        assert np.all(uses <= full * (1.0 + SHARE) + 1e-9)
        near += bool(uses.max() > 0.7 * full.max())
    assert near > 0.8 * len(tried)


def test_the_best_order_of_a_train_that_backs_is_the_best_of_all() -> None:
    of = _switchback([25.0, 140.0, 60.0, 90.0, 35.0])
    plan = plan_order(of)
    every = itertools.permutations(of.train.cars)
    least = min(of.in_order(order).run().worst_use for order in every)
    assert plan.best.side_use <= least * (1.0 + 2 * SHARE)
    again = {each.car.name: each for each in of.train.cars}
    assert plan.best.side_use == of.in_order([again[name] for name in plan.best.order]).run().worst_use


def test_the_fewest_engines_are_those_of_full_runs() -> None:
    for weights in ([200.0] * 4, [260.0] * 9, [60.0]):
        of = _switchback(weights)
        (name,) = of.session.classes
        one = weakest(of.session.classes[name])
        runs = (replace(of, own_engines=(one,) * number).run() for number in range(1, MOST_ENGINES + 1))
        does = [max(trip.power_use, trip.hold_use) <= MOVES for trip in runs]
        assert of.needed[name] == does.index(True) + 1


def test_places_of_a_leg_that_backs_are_told_so_and_never_before_it_begins() -> None:
    trip = _switchback([90.0] * 5).run()
    back = trip.legs[1]
    assert trip.place_of(back, 5, back.from_mm) == "Tail, backing"
    assert trip.place_of(back, 0, back.from_mm + 1400.0) == "between Tail and Points, backing"
    assert trip.train.route.called == ("Foot", "Tail", "backing to Top")
    assert trip.train.route.leads_at(back.from_mm + 10.0) == "rear"
    assert trip.train.route.leads_at(10.0) == "head"


def test_a_car_set_out_where_the_train_turns_is_not_pushed_on() -> None:
    cars = [spot(car("Stays", 60.0), 1, leaves=2), spot(car("Goes", 60.0), 2, leaves=1)]
    one = train(SWITCHBACK, cars, [engine("1", 380.0, 130.0)], stops=BY, pushed=(False, True))
    trip = prepared(session(SWITCHBACK, one), one).run()
    assert [leg.names for leg in trip.legs] == [("1", "Stays", "Goes"), ("Stays", "1")]


def test_a_light_car_far_from_the_pushing_engines_is_no_finding_of_light_ahead() -> None:
    """In front of all that is pushed it bears nothing but itself."""
    cars = [car("Heavy 1", 160.0), car("Heavy 2", 160.0), car("Light", 15.0)]
    where = one_line(straight(600.0), curve(380.0, 120.0), straight(900.0, 2.0))
    one = train(where, cars, [engine(pull_g=300.0)], stops=(START, FINISH), pushed=[True])
    made = case(session(where, one), one)
    assert "light-ahead" not in {found.code for found in findings(made)}
    assert made.side_use(made.cars[2]) < made.side_use(made.cars[0])


def test_a_guest_rides_in_the_spots_in_which_a_full_run_has_its_margin(steps: Session) -> None:
    (guest,) = consist.screen_guests(steps).cars
    assert len(guest.trains) == 2
    for ride in guest.trains:
        of = prepared(steps, steps.train(ride.train))
        for at in range(1, len(of.train.cars) + 2):
            riding = spot(steps.cars[guest.car], at, leaves=len(of.train.route.stops) - 1)
            cars = [*of.train.cars[: at - 1], riding, *of.train.cars[at - 1 :]]
            trip = of.in_order(cars).run()
            assert (at in ride.stands) == (max(trip.uses.values()) * steps.house.guest_margin <= 1.0)


@pytest.fixture
def steps() -> Session:
    return consist.load("sample_sessions/steps_day")
