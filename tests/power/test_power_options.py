"""Options for a train that is short: each is carried out and the train run again by the full mechanics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from builders import HO, World, car, engine, layout, line, session, spot, straight, train
from hypothesis import given, settings
from strategies import trains_on_track

from consist.house import House
from consist.mechanics import run
from consist.power import Option, TrainPower
from consist.power.notes import worth_measuring
from consist.power.options import Shortage, options
from consist.power.plan import plan_power
from consist.power.train_pull import TrainPull
from consist.power.whereabouts import Idle
from consist.session import CarInTrain, Session, Train
from consist.stock import Engine
from consist.trains import prepared

__all__: list[str] = []

PEAKS = 1.005
"""The full run finds peaks within half a per cent that even steps may miss."""

HILL = layout(
    line("West, e", "Foot, w", straight(3000.0)),
    line("Foot, e", "Top, w", straight(6000.0, 3.0)),
    line("Foot, s", "Shed, n", straight(1000.0)),
)
A = replace(engine("1", 400.0, 60.0), home="West")
B = replace(engine("2", 300.0, 30.0, engine_class="B"), home="Foot")


def _train(cars: Sequence[CarInTrain] | None = None, **more: tuple[int, int]) -> Train:
    """Ten cars of 100 g, 14 g on the level and 44 g on the hill.

    Engine 1 has 51 g to use on the level and 39 g on the hill; 2 has 16.5 g there.
    """
    standing = cars or [spot(car(f"C{k}"), k + 1) for k in range(10)]
    return train(HILL, standing, stops=("West", "Top"), times=more.get("times", (600, 640)))


def _use(of: Session, one: Train, engines: Sequence[Engine]) -> float:
    """The greatest use over the route by the full run."""
    trip = prepared(of, replace(one, engines=tuple(engines), helpers=())).run()
    return max(trip.power_use, trip.hold_use)


def _use_between(of: Session, one: Train, option: Option) -> float:
    """The same over a helper's stretch, with the helper at the rear."""
    at = dict(one.route.places)
    assert option.start is not None
    assert option.finish is not None
    ahead, helpers = ([of.engines[name] for name in names] for names in (option.engines, option.extra))
    known = prepared(of, one)
    arrays = known.arrays(ahead, one.cars, helpers)
    peaks = run(arrays, known.runs[0], at[option.start], at[option.finish], known.limits)
    return max(float(peaks.power_use.value[0]), float(peaks.hold_use.value[0]))


def _carried_out(of: Session, one: Train, option: Option) -> float:
    """The greatest use with an option carried out."""
    engines = [of.engines[name] for name in option.engines]
    if option.kind == "helper":
        return _use_between(of, one, option)
    if option.kind == "light":
        return _use(of, one, engines)
    stays = tuple(car for car in one.cars if car.car.name not in option.cars)
    cuts = [stays]
    if option.kind == "double":
        cuts.append(tuple(car for car in one.cars if car.car.name in option.cars))
        assert cuts[0] + cuts[1] == one.cars
    return max(_use(of, replace(one, cars=cut), engines) for cut in cuts)


def _planned(of: Session) -> TrainPower:
    (found,) = plan_power(of).trains
    return found


def _kinds(found: TrainPower) -> dict[str, Option]:
    return {option.kind: option for option in found.options}


def test_the_four_options_by_hand() -> None:
    """The hill is 44 g over 39 g. Two cars less leave 35.2 g; cuts of five, 22 g; with engine 2, 55.5 g."""
    of = session(HILL, _train(), roster=[A, B], house=House(light_moves=True))
    found = _planned(of)
    assert (found.short, found.assigned, found.at_hand) == (True, (), ("1",))
    assert found.use == pytest.approx(44.0 / 39.0)
    assert found.tightest is not None
    assert found.tightest.place == "between Foot and Top"
    assert [option.kind for option in found.options] == ["helper", "leave", "double", "light"]
    kinds = _kinds(found)
    helper = kinds["helper"]
    assert (helper.extra, helper.engine_class, helper.comes_from) == (("2",), "B", "Foot")
    assert (helper.start, helper.finish) == ("Foot", "Top")
    assert helper.use == pytest.approx(44.0 / 55.5)
    assert helper.say == (
        "Engine 2 (class B) pushes from Foot to Top, where it comes off; 79 % of the usable pull is then used."
    )
    assert len(kinds["leave"].cars) == 2
    assert kinds["leave"].use == pytest.approx(35.2 / 39.0)
    assert kinds["double"].cars == ("C5", "C6", "C7", "C8", "C9")
    assert kinds["double"].use == pytest.approx(22.0 / 39.0)
    assert (kinds["light"].extra, kinds["light"].comes_from, kinds["light"].finish) == (("2",), "Foot", "West")
    assert kinds["light"].engines == ("1", "2")
    for option in found.options:
        assert _carried_out(of, of.trains[0], option) <= PEAKS
        assert _carried_out(of, of.trains[0], option) == pytest.approx(option.use, rel=0.006)


def test_without_light_moves_none_comes_light() -> None:
    of = session(HILL, _train(), roster=[A, replace(B, home="Shed")])
    assert [option.kind for option in _planned(of).options] == ["leave", "double"]


def test_a_helper_may_come_light_to_the_foot_of_the_hill() -> None:
    of = session(HILL, _train(), roster=[A, replace(B, home="Shed")], house=House(light_moves=True))
    helper = _kinds(_planned(of))["helper"]
    assert (helper.comes_from, helper.start) == ("Shed", "Foot")


def test_an_engine_that_cannot_run_to_the_place_is_not_offered() -> None:
    """Its home lies in a part of the layout that no line joins to the rest."""
    apart = layout(*HILL.lines, line("Isle, e", "Pier, w", straight(500.0)))
    of = session(apart, _train(), roster=[A, replace(B, home="Isle")], house=House(light_moves=True))
    assert [option.kind for option in _planned(of).options] == ["leave", "double"]


def test_a_busy_engine_is_no_helper() -> None:
    """Engine 2 runs a train of its own while the other is on the hill."""
    other = train(HILL, [spot(car("D1"), 1)], name="Local", stops=("Foot", "Shed"), times=(590, 630))
    of = session(HILL, _train(), other, roster=[A, B])
    plan = plan_power(of)
    assert plan.engines["Local"] == ("2",)
    assert [option.kind for option in plan.trains[0].options] == ["leave", "double"]


def test_a_helper_must_come_off_where_its_next_train_starts() -> None:
    """Engine 2 is free while the other is on the hill, but at its top it would be away from its own next train."""
    later = train(HILL, [spot(car("D1"), 1)], name="Local", stops=("Foot", "Shed"), times=(800, 830))
    of = session(HILL, _train(), later, roster=[A, B])
    plan = plan_power(of)
    assert plan.engines["Local"] == ("2",)
    assert [option.kind for option in plan.trains[0].options] == ["leave", "double"]


@pytest.mark.parametrize(
    ("holds", "expected"),
    [
        ({}, ("C0", "C1")),
        ({"C0": "front"}, ("C1", "C2")),
        ({"C0": "stay", "C9": "rear"}, ("C1", "C2")),
        ({"C4": "with C0"}, ("C1", "C2")),
    ],
)
def test_no_car_with_a_hold_is_left(holds: dict[str, str], expected: tuple[str, ...]) -> None:
    """Of ten cars of the same weight two must stay; the first by name, but none that is held or held with."""
    cars = [spot(car(f"C{k}"), k + 1, hold=holds.get(f"C{k}")) for k in range(10)]
    of = session(HILL, _train(cars), roster=[A])
    assert _kinds(_planned(of))["leave"].cars == expected


def test_the_heaviest_car_is_left() -> None:
    """1060 g take 46.6 g; less 160 g it is 39.6 g, still over 39 g; less 180 g, 38.7 g."""
    for heavy_g, expected in ((180.0, ("C6",)), (160.0, ("C0", "C6"))):
        rest_g = (1060.0 - heavy_g) / 9.0
        cars = [spot(car(f"C{k}", heavy_g if k == 6 else rest_g), k + 1) for k in range(10)]
        of = session(HILL, _train(cars), roster=[A])
        assert _kinds(_planned(of))["leave"].cars == expected


def test_cars_that_ride_only_where_there_is_power_stay() -> None:
    """Heavy cars set out at the foot of the hill are no help left behind."""
    cars = [spot(car(f"H{k}", 300.0), k + 1, leaves=1) for k in range(3)]
    cars += [spot(car(f"C{k}"), k + 4, joins=0, leaves=2) for k in range(10)]
    one = train(HILL, cars, stops=("West", "Foot", "Top"), times=(600, 640))
    of = session(HILL, one, roster=[A])
    assert _kinds(_planned(of))["leave"].cars == ("C0", "C1")


def test_a_train_with_no_engine_at_its_place_has_no_options_and_a_note_says_so() -> None:
    of = session(HILL, _train(), roster=[replace(engine("9", 400.0, 200.0), home="Top")])
    plan = plan_power(of)
    assert plan.trains[0].options == ()
    assert plan.trains[0].use is None
    assert any("Freight 1" in note and "light_moves" in note for note in plan.notes)


def test_kept_engines_stay_on_the_train_in_every_option() -> None:
    one = replace(_train(), engines=(A,))
    of = session(HILL, one, roster=[replace(B, home="Shed")], house=House(light_moves=True))
    (found,) = plan_power(of, keep_given=True).trains
    assert (found.short, found.assigned) == (True, ("1",))
    assert [option.kind for option in found.options] == ["helper", "leave", "double", "light"]
    assert all("1" in option.engines for option in found.options)
    assert all(_carried_out(of, one, option) <= PEAKS for option in found.options)


@given(trains_on_track(scales=(HO,)))
@settings(max_examples=15, deadline=None)
def test_every_option_does_when_it_is_carried_out(drawn: World) -> None:
    """Trains over random track behind an engine that has four fifths of the pull they take."""
    pull = TrainPull(drawn.prepared)
    weights = 20.0
    need = max(float(np.max(along.resistance)) for along in pull.of.hauled([engine("9", weights, 1000.0)]))
    lead = engine("9", weights, max(0.8 * need, 1.0) / 0.85)
    push = engine("8", weights, max(0.5 * need, 1.0) / 0.85, engine_class="B")
    of = session(drawn.session.layout, replace(drawn.train, engines=(), helpers=()), roster=[lead, push])
    one = of.trains[0]
    pull = TrainPull(prepared(of, one))
    if pull.worst([lead]).use <= 1.0:
        return
    found = options(Shortage(pull, (lead,), (), (Idle(push, "Left Yard", None),), ()))
    if pull.worst([lead], [push]).use <= 1.0:
        assert found[0].kind == "helper"
    for option in found:
        assert _carried_out(of, one, option) <= PEAKS


def test_a_train_that_runs_away_is_told_of_what_its_engine_can_hold_back() -> None:
    """Ten cars of 100 g push with 16 g down 3 %; engine 1 with 10 g, whose own weight takes 3 g, holds 5.5 g."""
    down = layout(line("Top, e", "Foot, w", straight(6000.0, -3.0)))
    cars = [spot(car(f"C{k}"), k + 1) for k in range(10)]
    one = train(down, cars, stops=("Top", "Foot"), times=(600, 640))
    weak = replace(engine("1", 100.0, 10.0), home="Top")
    found = _kinds(_planned(session(down, one, roster=[weak])))
    assert "% of what the engine can hold back is then used." in found["leave"].say
    assert "usable pull" not in "".join(option.say for option in found.values())


def test_an_engine_comes_light_where_the_train_takes_it_to_its_next() -> None:
    """Engine 2's next train starts where this one ends; no other way would it be there in time."""
    one = replace(_train(), route=train(HILL, [spot(car("C0"), 1)], stops=("West", "Foot", "Top")).route)
    of = session(HILL, one, roster=[A, B], house=House(light_moves=True))
    pull = TrainPull(prepared(of, one))
    for starts, kinds in (("Top", 1), ("Foot", 0), ("West", 0)):
        idle = Idle(replace(B, pull_g=200.0, weight_g=900.0), "Foot", starts)
        short = Shortage(pull, (A,), (), (idle,), (), kept=True)
        found = [option for option in options(short) if option.kind == "light"]
        assert len(found) == kinds, starts


def test_the_strongest_are_those_that_do_most_together() -> None:
    one = _train()
    pull = TrainPull(prepared(session(HILL, one, roster=[A, B]), one))
    three = [replace(A, name=name, pull_g=grams) for name, grams in (("1", 20.0), ("2", 30.0), ("3", 25.0))]
    dead = replace(A, name="4", pull_g=0.5, weight_g=900.0)
    assert [each.name for each in pull.strongest([*three, dead])] == ["1", "2", "3"]


def test_one_car_of_two_may_be_left() -> None:
    """Two cars of 500 g are as heavy on the hill as ten of 100 g; without one of them engine 1 moves the train."""
    cars = [spot(car(f"C{k}", 500.0), k + 1) for k in range(2)]
    (found,) = [
        option for option in _planned(session(HILL, _train(cars), roster=[A])).options if option.kind == "leave"
    ]
    assert len(found.cars) == 1


def test_a_train_that_its_engines_move_has_no_options() -> None:
    found = _planned(session(HILL, _train(), roster=[replace(A, pull_g=200.0)]))
    assert (found.short, found.options, found.at_hand) == (False, (), ())


def test_engines_behind_a_train_count_where_it_is_asked_what_to_measure() -> None:
    """Reckoned engines whose fifth less leaves the train short are worth measuring; a strong helper saves it that."""
    pull = TrainPull(prepared(session(HILL, _train(), roster=[A, B]), _train()))
    reckoned = replace(A, pull_g=75.0, measured=False)
    strong = replace(B, pull_g=60.0, measured=True)
    assert pull.worst((reckoned,), ()).moves
    assert worth_measuring([(pull, (reckoned,), ())]) == ("1",)
    assert worth_measuring([(pull, (reckoned,), (strong,))]) == ()
    assert worth_measuring([(pull, (replace(reckoned, measured=True),), ())]) == ()


WEAK = [replace(engine(name, 100.0, 8.3, engine_class="C"), home="Foot") for name in ("5", "6", "7")]
"""Each has 8.3 x 0.85 - 3 = 4.055 g to use on the hill, where engine 1 lacks 5 g."""


def _offered(*idle: Idle, behind: Sequence[Engine] = (), light_moves: bool = False) -> dict[str, list[Option]]:
    """The options of each kind for the train behind engine 1, kept, on the hill."""
    roster = [A, *behind, *(one.engine for one in idle)]
    of = session(HILL, _train(), roster=roster, house=House(light_moves=light_moves))
    short = Shortage(TrainPull(prepared(of, of.trains[0])), (A,), tuple(behind), idle, (), kept=True)
    found: dict[str, list[Option]] = {}
    for option in options(short):
        found.setdefault(option.kind, []).append(option)
    return found


def test_as_many_helpers_of_a_class_push_as_are_enough() -> None:
    (helper,) = _offered(*(Idle(each, "Foot", None) for each in WEAK))["helper"]
    assert helper.extra == ("5", "6")
    assert helper.use == pytest.approx(44.0 / (39.0 + 2 * 4.055))
    assert helper.say == (
        "Engines 5 and 6 (class C) push from Foot to Top, where they come off; 93 % of the usable pull is then used."
    )
    assert "helper" not in _offered(Idle(WEAK[0], "Foot", None))


def test_a_helper_that_stands_there_comes_before_one_that_comes_light_and_fewer_before_more() -> None:
    near = replace(B, name="8", engine_class="D")
    idle = (Idle(B, "Shed", None), *(Idle(each, "Foot", None) for each in WEAK), Idle(near, "Foot", None))
    helpers = _offered(*idle, light_moves=True)["helper"]
    assert [(option.engine_class, option.extra) for option in helpers] == [
        ("D", ("8",)),
        ("B", ("2",)),
        ("C", ("5", "6")),
    ]
    assert helpers[1].say.startswith("Engine 2 (class B), coming light from Shed, pushes from Foot to Top, where it")


def test_a_helper_may_come_off_where_its_next_train_starts() -> None:
    assert [len(_offered(Idle(B, "Foot", starts)).get("helper", ())) for starts in ("Top", "Foot", None)] == [1, 0, 1]


def test_a_helper_that_is_given_already_pushes_what_is_left_as_well() -> None:
    """With 43.055 g nine cars of 39.6 g will do, which are over the 39 g of engine 1 alone."""
    ((left,), (more,)) = (_offered(behind=behind)["leave"] for behind in (WEAK[:1], ()))
    assert (len(left.cars), len(more.cars)) == (1, 2)
    assert left.use == pytest.approx(39.6 / 43.055)


def test_engines_that_cannot_hold_back_are_told_as_many() -> None:
    down = layout(line("Top, e", "Foot, w", straight(6000.0, -3.0)))
    one = train(down, [spot(car(f"C{k}"), k + 1) for k in range(10)], stops=("Top", "Foot"), times=(600, 640))
    two = [replace(engine(name, 100.0, 8.0), home="Top") for name in ("1", "2")]
    of = session(down, one, roster=two)
    short = Shortage(TrainPull(prepared(of, one)), tuple(two), (), (), (), kept=True)
    (left,) = (option for option in options(short) if option.kind == "leave")
    assert "% of what the engines can hold back is then used." in left.say


def test_each_option_is_one_plain_sentence() -> None:
    """Eight cars of 35.2 g over 39 g, nine of 39.6 g over 43.055 g; five of 22 g; 44 g over 55.5 g or 47.11 g."""
    found = _offered(Idle(B, "Foot", None), light_moves=True)
    said = {kind: [option.say for option in each] for kind, each in found.items() if kind != "helper"}
    assert said == {
        "leave": ["Leave 2 cars, C0 and C1, behind; 90 % of the usable pull is then used."],
        "double": [
            "Double from Foot to Top: part the train ahead of car C5 into cuts of 5 and 5 cars; "
            "the harder one uses 56 % of the usable pull."
        ],
        "light": [
            "Send engine 2 from Foot light to West before the train leaves and run the train behind 1 and 2; "
            "79 % of the usable pull is then used."
        ],
    }
    (one,) = _offered(behind=WEAK[:1])["leave"]
    assert one.say == "Leave car C0 behind; 92 % of the usable pull is then used."
    (two,) = _offered(*(Idle(each, "Foot", None) for each in WEAK), light_moves=True)["light"]
    assert two.say == (
        "Send engines 5 from Foot and 6 from Foot light to West before the train leaves and run the train behind "
        "1, 5 and 6; 93 % of the usable pull is then used."
    )
    assert (two.extra, two.engine_class, two.comes_from, two.finish) == (("5", "6"), "C", "Foot", "West")


def test_of_places_where_helpers_wait_the_last_before_the_hill_is_taken() -> None:
    """An engine without a home waits wherever it is wanted."""
    for places, there in (({"2": "West", "8": "Foot"}, "Foot"), ({"2": ""}, "Foot"), ({"2": "West"}, "West")):
        waits = [Idle(replace(B, name=name), place, None) for name, place in places.items()]
        (helper,) = _offered(*waits)["helper"]
        assert helper.start == there
    hill = layout(
        line("Zell, e", "Arch, w", straight(3000.0)),
        line("Arch, e", "Moss, w", straight(3000.0)),
        line("Moss, e", "Top, w", straight(6000.0, 3.0)),
    )
    one = train(hill, _train().cars, stops=("Zell", "Top"), times=(600, 640))
    engines = [replace(B, name=name) for name in ("2", "8", "9")]
    of = session(hill, one, roster=[replace(A, home="Zell"), *engines])
    idle = tuple(Idle(each, place, None) for each, place in zip(engines, ("Zell", "Arch", "Moss"), strict=True))
    short = Shortage(TrainPull(prepared(of, one)), (replace(A, home="Zell"),), (), idle, (), kept=True)
    assert [(option.start, option.extra) for option in options(short) if option.kind == "helper"] == [
        ("Moss", ("9",))
    ]
    short = replace(short, idle=idle[:2])
    assert [(option.start, option.extra) for option in options(short) if option.kind == "helper"] == [
        ("Arch", ("8",))
    ]
