"""`radius`: curves below a car's own least radius, or sharp for its length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import car, case, curve, engine, layout, line, one_line, session, spot, straight, train

from consist.rules.cars import radius
from consist.rules.case import Finding
from consist.session import CarInTrain

__all__: list[str] = []

WHERE = layout(
    line("West, e", "Mill, w", straight(300.0), curve(700.0, 40.0)),
    line("Mill, e", "East, w", curve(420.0, 40.0), straight(300.0)),
)


def _found(*cars: CarInTrain) -> list[Finding]:
    one = train(WHERE, cars, [engine()], stops=("West", "Mill", "East"))
    return radius(case(session(WHERE, one), one))


def test_a_car_that_cannot_take_the_curve_is_on_hold() -> None:
    (found,) = _found(spot(car("Long", min_radius_mm=421.0), 1, leaves=2))
    assert (found.level, found.car, found.value, found.limit) == ("hold", "Long", 420.0, 421.0)
    assert found.place == "between Mill and East"


def test_its_own_least_radius_is_enough() -> None:
    assert _found(spot(car("Long", min_radius_mm=420.0), 1, leaves=2)) == []


@pytest.mark.parametrize("inches", range(9, 60))
def test_a_radius_in_inches_is_the_same_in_millimetres(inches: int) -> None:
    """A layout in inches against a car measured in millimetres, and the other way round."""
    written_mm = float(f"{inches * 25.4:.1f}")  # an inch is 25.4 mm, so that one place is exact
    for track_mm, least_mm in ((inches * 25.4, written_mm), (written_mm, inches * 25.4)):
        where = one_line(straight(300.0), curve(track_mm, 20.0))
        one = train(where, [spot(car("Long", min_radius_mm=least_mm), 1)], [engine()])
        assert radius(case(session(where, one), one)) == []


def test_a_real_difference_holds_and_the_sentence_tells_the_two_apart() -> None:
    where = replace(one_line(curve(24 * 25.4, 20.0)), unit="in")
    one = train(where, [spot(car("Long", min_radius_mm=610.0), 1)], [engine()])
    (found,) = radius(case(session(where, one), one))
    assert found.level == "hold"
    assert "needs 24.016 in radius and meets the 24 in curve" in found.say


def test_three_lengths_in_inches_are_three_lengths_in_millimetres() -> None:
    """A car of 106.68 mm (4.2 in) on a curve of 12.6 in is at three times its length, where nothing is said."""
    where = one_line(curve(12.6 * 25.4, 20.0))
    one = train(where, [spot(car("Coach", length_mm=106.68), 1)], [engine()])
    assert 12.6 * 25.4 < 3.0 * 106.68
    assert radius(case(session(where, one), one)) == []


def test_only_the_lines_it_rides_over_count() -> None:
    """Set out at Mill, it meets the 700 mm curve alone."""
    other = car("C2", min_radius_mm=100.0)
    assert _found(spot(car("Long", min_radius_mm=600.0), 1, leaves=1), spot(other, 2, leaves=2)) == []
    (found,) = _found(spot(car("Long", min_radius_mm=800.0), 1, leaves=1), spot(other, 2, leaves=2))
    assert (found.value, found.place) == (700.0, "between West and Mill")


def test_without_a_figure_a_curve_under_three_lengths_is_a_note() -> None:
    """Three times the coupled length: common practice, from memory."""
    (found,) = _found(spot(car("Coach", length_mm=141.0), 1, leaves=2))
    assert (found.level, found.value) == ("note", 420.0)
    assert found.limit == pytest.approx(423.0)
    assert _found(spot(car("Coach", length_mm=139.0), 1, leaves=2)) == []


def test_under_two_lengths_is_care() -> None:
    """Two times the coupled length: common practice, from memory."""
    (found,) = _found(spot(car("Coach", length_mm=211.0), 1, leaves=2))
    assert (found.level, found.value, found.limit) == ("care", 420.0, 422.0)
    (found,) = _found(spot(car("Coach", length_mm=209.0), 1, leaves=2))
    assert found.level == "note"
    assert _found(spot(car("Coach", length_mm=211.0, min_radius_mm=400.0), 1, leaves=2)) == []


@pytest.mark.parametrize("least_mm", [None, 20.0])
def test_trucks_further_apart_than_twice_the_radius_hold(least_mm: float | None) -> None:
    """Half of 105 mm is 52.5 mm; a least radius of the car's own cannot mend it."""
    own = car("Coach", length_mm=150.0, truck_centers_mm=105.0, min_radius_mm=least_mm)
    for radius_mm, holds in ((52.4, True), (52.6, False)):
        where = one_line(straight(900.0), curve(radius_mm, 60.0), straight(900.0))
        one = train(where, [own], [engine(truck_centers_mm=50.0)])
        found = radius(case(session(where, one), one))
        assert [each.level for each in found if each.limit == 52.5] == ["hold"] * holds
        if holds:
            assert "has its trucks 105 mm apart and cannot stand on the 52.4 mm curve" in found[0].say


def test_an_engine_that_cannot_stand_holds_its_train() -> None:
    where = one_line(straight(900.0), curve(60.0, 60.0), straight(900.0))
    one = train(where, [car(truck_centers_mm=80.0)], [engine("7", truck_centers_mm=121.0)])
    (found,) = (each for each in radius(case(session(where, one), one)) if each.car is None)
    assert (found.level, found.value, found.limit) == ("hold", 60.0, 60.5)
    assert found.say.startswith("Engine 7 has its trucks 121 mm apart and cannot stand on the 60 mm curve")


@pytest.mark.parametrize(("unit", "words"), [("mm", "{0:g} mm"), ("in", "{1:g} in")])
def test_a_radius_is_told_in_the_layouts_unit(unit: str, words: str) -> None:
    """16 in is 406.4 mm, 20 in 508 mm, 6 in 152.4 mm and 40 in 1016 mm."""

    def told(inches: float) -> str:
        return words.format(inches * 25.4, inches)

    where = layout(line("A, e", "B, w", curve(16.0 * 25.4, 40.0)), unit=unit)

    def say(own: CarInTrain) -> str:
        one = train(where, [own], [engine()], stops=("A", "B"))
        (found,) = radius(case(session(where, one), one))
        return found.say

    asks = car("Long", min_radius_mm=20.0 * 25.4)
    assert say(spot(asks, 1)) == (
        f"Long in spot 1 needs {told(20)} radius and meets the {told(16)} curve between A and B; "
        "leave it out of this train."
    )
    assert say(spot(car("Long", length_mm=6.0 * 25.4), 1)) == (
        f"Long in spot 1 is {told(6)} long for the {told(16)} curve between A and B; try it there by hand, and give "
        "it neighbours of like length."
    )
    far = replace(car("Long", length_mm=100.0), truck_centers_mm=40.0 * 25.4)
    assert say(spot(far, 1)) == (
        f"Long in spot 1 has its trucks {told(40)} apart and cannot stand on the {told(16)} curve between A and B; "
        "correct the one that is wrong, or leave it out of this train."
    )
