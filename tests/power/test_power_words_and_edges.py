"""What a plan says word by word, helpers that are there already, engines of unlike pull, and a solver that fails."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders import car, curve, engine, layout, line, session, spot, straight, train, world
from power.test_power_options import HILL, A, B, _train

from consist.house import House
from consist.mechanics.power import Hauled, even_hauling
from consist.power.options import Shortage, _alike, _used
from consist.power.plan import plan_power
from consist.power.programme import Programme, _beside
from consist.power.train_pull import TrainPull, Worst, _worst
from consist.power.whereabouts import clashes
from consist.trains import prepared

__all__: list[str] = []


def test_engines_without_a_home_are_named_with_the_cure() -> None:
    of = session(HILL, _train(), roster=[A, replace(B, home="")])
    assert "Engine 2 without a home starts wherever wanted; write its home in engines.csv." in plan_power(of).notes
    both = session(HILL, _train(), roster=[replace(A, home=""), replace(B, home="")])
    wanted = "Engines 1 and 2 without a home start wherever wanted; write their homes in engines.csv."
    assert wanted in plan_power(both).notes


@pytest.mark.parametrize(
    ("holds", "engines", "told"),
    [
        (False, 1, "50 % of the usable pull"),
        (True, 1, "50 % of what the engine can hold back"),
        (True, 2, "50 % of what the engines can hold back"),
    ],
)
def test_how_much_is_used(holds: bool, engines: int, told: str) -> None:
    assert _used(Worst(0.5, 1.0, 0.0, holds), (A, B)[:engines]) == told


def test_one_place_or_class_is_told_and_several_are_not() -> None:
    assert _alike(["Shed", "Shed"]) == "Shed"
    assert _alike(["Shed", "Foot"]) is None


def short_of(**more: object) -> Shortage:
    one = _train()
    of = session(HILL, one, roster=[A, B])
    told = {"pull": TrainPull(prepared(of, one)), "ahead": (A,), "behind": (), "idle": (), "combos": ()}
    return Shortage(**{**told, **more})  # type: ignore[arg-type]


def test_the_stretch_where_a_train_is_short_counts_the_helpers_it_has() -> None:
    """39 g against 44 g on the hill: short from Foot to Top; nowhere with 16 g behind; a weak helper leaves it so."""
    assert short_of().stretch() == (("Foot", 3000.0), ("Top", 9000.0))
    assert short_of(behind=(B,)).stretch() is None
    weak = replace(B, name="3", pull_g=6.0, weight_g=100.0)
    assert short_of(behind=(weak,)).stretch() is not None


def test_a_train_short_from_its_first_place_is_short_from_there() -> None:
    where = layout(line("Foot, e", "Top, w", straight(6000.0, 3.0)), line("Top, e", "End, w", straight(900.0)))
    one = train(where, [spot(car(f"C{k}"), k + 1) for k in range(10)], stops=("Foot", "End"))
    of = session(where, one, roster=[A])
    short = Shortage(TrainPull(prepared(of, one)), (A,), (), (), ())
    # its cars are on the hill still with its head past the top
    assert short.stretch() == (("Foot", 0.0), ("End", 6900.0))


def test_nothing_is_asked_of_engines_where_no_leg_is() -> None:
    assert _worst([]) == Worst(0.0, np.inf, 0.0)


def test_of_engines_that_stand_idle_the_strongest_is_tried_first() -> None:
    """Of the weakest of the class no number owned would do; the strong one alone moves the train."""
    weak, strong = replace(A, name="1", pull_g=30.0), replace(A, name="2", pull_g=75.0)
    found = plan_power(session(HILL, _train(), roster=[weak, strong]))
    assert [(one.short, one.assigned) for one in found.trains] == [(False, ("2",))]
    assert any("is moved by 2, though not by the weakest of the same class" in note for note in found.notes)


def test_light_engines_from_two_places_have_no_one_place() -> None:
    small = [replace(A, name=name, pull_g=45.0, home=home) for name, home in (("7", "Shed"), ("8", "Top"))]
    lead = replace(A, pull_g=15.0)
    one = replace(_train(), engines=(lead,))
    of = session(HILL, one, roster=[lead, *small], house=House(light_moves=True))
    (found,) = plan_power(of, keep_given=True).trains
    light = [option for option in found.options if option.kind == "light"]
    assert light
    assert light[0].extra == ("7", "8")
    assert (light[0].comes_from, light[0].engine_class) == (None, "A")
    assert "Send engines 7 from Shed and 8 from Top light to West before the train leaves" in light[0].say


def test_an_engine_taken_by_one_train_is_idle_for_no_other_meanwhile() -> None:
    """Two trains short at one time, one engine to help: each is told of it, and none of what the other has."""
    one, other = _train(), replace(_train(), name="Freight 2")
    other = replace(
        other, cars=tuple(replace(each, car=replace(each.car, name=f"D{each.spot}")) for each in other.cars)
    )
    second = replace(A, name="3")
    of = session(HILL, replace(one, engines=(A,)), replace(other, engines=(second,)), roster=[A, B, second])
    found = plan_power(of, keep_given=True).trains
    for train_power, own in zip(found, ("1", "3"), strict=True):
        for option in train_power.options:
            assert {*option.extra} <= {"2"}
            assert own in option.engines


def test_a_programme_that_was_not_solved_has_nothing() -> None:
    assert Programme().value(0) == 0


def test_what_fails_beside_fails_here() -> None:
    def failing() -> None:
        raise ZeroDivisionError("no")

    with pytest.raises(ZeroDivisionError, match="no"):
        _beside(failing)
    assert _beside(lambda: 7) == 7
    assert engine().pull_g == 100.0


def test_an_engine_back_just_in_time_is_no_clash() -> None:
    """Back at 10:40 and ten minutes to turn: free at 10:50, and a minute too late for 10:49."""
    one = replace(_train(), engines=(A,))
    for leaves, told in ((650, 0), (649, 1)):
        second = replace(one, name="Freight 2", depart=leaves, arrive=leaves + 30)
        assert len(clashes(session(HILL, one, second, roster=[A]))) == told


def test_a_double_may_part_off_a_single_car() -> None:
    """Three cars, the first as heavy as the others together: cuts of one and of two."""
    cars = [spot(car("C0", 600.0), 1), spot(car("C1", 300.0), 2), spot(car("C2", 300.0), 3)]
    lead = replace(A, pull_g=46.0)
    found = plan_power(session(HILL, replace(_train(cars), engines=(lead,)), roster=[lead]), keep_given=True)
    (double,) = [option for option in found.trains[0].options if option.kind == "double"]
    assert double.cars == ("C1", "C2")
    assert "into cuts of 1 and 2 cars" in double.say


def test_two_unlike_engines_ahead_of_a_cut_are_seen_each_in_its_own_place() -> None:
    track = [straight(900.0), curve(500.0, 180.0, grade_percent=2.0), straight(900.0)]
    of = world(track, [car(), car("C2")], [engine("1", length_mm=330.0), engine("2", 250.0, 60.0, length_mm=120.0)])
    vehicles, tables = of.vehicles, of.tables
    cut = replace(vehicles.pick(slice(2, None)), ahead=0)
    lead = replace(vehicles.pick(slice(0, 2)), ahead=2, behind=0)
    seen = Hauled(cut, tables, 0.0, of.length_mm, 600.0).seen(lead)
    even = even_hauling(vehicles, tables, 0.0, of.length_mm)
    np.testing.assert_allclose(seen.usable, even.usable, rtol=1e-9)
    np.testing.assert_allclose(seen.engine_share, even.engine_share, rtol=1e-9, atol=1e-12)
