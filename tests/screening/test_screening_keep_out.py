"""Places and lines that a guest must not go to."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import builders
import pytest

from consist.screening import screen_guests
from consist.screening.keep_out import keep_out
from consist.stock import Car
from consist.track import Layout, Place

__all__: list[str] = []


def tall(**more: Any) -> Car:
    """A guest of 60 mm by 38 mm that takes a radius of 300 mm unless told otherwise."""
    told = {"height_mm": 60.0, "width_mm": 38.0, "min_radius_mm": 300.0, **more}
    return replace(builders.car("G1"), guest=True, **told)


def fork(*places: Place, shed: tuple[float | None, float | None] = (None, None)) -> Layout:
    """A yard with a line to a town and one to a shed, whose clearances are given."""
    town = builders.line("Yard, east", "Town, west", builders.straight(1000))
    to_shed = replace(
        builders.line("Yard, branch", "Shed, in", builders.curve(400, 45)),
        clearance_height_mm=shed[0],
        clearance_width_mm=shed[1],
    )
    return builders.layout(town, to_shed, places=places)


def found(car: Car, where: Layout) -> list[tuple[str, str, bool]]:
    """What is found, without its words."""
    return [(each.code, each.where, each.barred) for each in keep_out(car, where)]


def test_nothing_in_the_way() -> None:
    assert found(tall(), fork()) == []


@pytest.mark.parametrize(
    ("shed", "codes"),
    [
        ((60.0, 38.0), []),
        ((59.9, 38.0), ["height"]),
        ((60.0, 37.9), ["width"]),
        ((50.0, 30.0), ["height", "width"]),
        ((None, None), []),
    ],
)
def test_clearance_by_line(shed: tuple[float | None, float | None], codes: list[str]) -> None:
    assert found(tall(), fork(shed=shed)) == [(code, "between Yard and Shed", True) for code in codes]


def test_clearance_by_place() -> None:
    low = Place("Town", clearance_height_mm=55.0)
    narrow = Place("Shed", clearance_width_mm=35.0)
    assert found(tall(), fork(low, narrow)) == [("height", "Town", True), ("width", "Shed", True)]
    assert [each.say for each in keep_out(tall(), fork(low, narrow))] == [
        "G1 is 60 mm high and the clearance at Town is 55 mm; keep it away from there.",
        "G1 is 38 mm wide and the clearance at Shed is 35 mm; keep it away from there.",
    ]


def test_a_clearance_that_a_car_was_not_measured_for_is_a_note() -> None:
    (note,) = keep_out(tall(height_mm=None), fork(Place("Town", clearance_height_mm=55.0)))
    assert (note.barred, note.limit) == (False, None)
    assert note.say.endswith("measure it before it goes there.")


def test_standing_track_shorter_than_the_car() -> None:
    where = fork(Place("Town", standing_mm=149.0), Place("Shed", standing_mm=150.0))
    assert found(tall(), where) == [("standing", "Town", True)]
    (short,) = keep_out(tall(), where)
    assert short.say == "G1 is 150 mm over couplers and Town has 149 mm of standing track; do not leave it there."
    assert (short.value, short.limit) == (149.0, 150.0)


def test_a_curve_sharper_than_the_car_takes_and_one_only_sharp_for_its_length() -> None:
    assert found(tall(min_radius_mm=401.0), fork()) == [("radius", "between Yard and Shed", True)]
    assert found(tall(min_radius_mm=400.0), fork()) == []
    long = replace(tall(min_radius_mm=None), coupled_length_mm=134.0)  # three times its length is 402 mm
    assert found(long, fork()) == [("sharp", "between Yard and Shed", False)]
    assert found(replace(long, coupled_length_mm=133.0), fork()) == []


@pytest.mark.parametrize(("unit", "words"), [("mm", "{0:g} mm"), ("in", "{1:g} in")])
def test_all_that_keeps_a_car_out_is_told_in_the_layouts_unit_what_bars_it_first(unit: str, words: str) -> None:
    """The figures are whole in both units: 2, 3, 4, 16, 20, 8 and 5 in are 50.8 to 508 mm."""

    def told(inches: float) -> str:
        return words.format(inches * 25.4, inches)

    inch = 25.4
    low, narrow = Place("Yard", clearance_height_mm=3 * inch), Place("Town", clearance_width_mm=2 * inch)
    curved = replace(
        builders.line("Town, e", "Shed, in", builders.curve(16 * inch, 45)), clearance_height_mm=2 * inch
    )
    gentle = builders.line("Yard, east", "Town, west", builders.straight(1000), builders.curve(20 * inch, 30))
    where = builders.layout(gentle, curved, places=[low, narrow, Place("Shed", standing_mm=5 * inch)], unit=unit)
    unmeasured = replace(tall(height_mm=None, width_mm=3 * inch, min_radius_mm=None), coupled_length_mm=8 * inch)
    seen = keep_out(unmeasured, where)
    assert [(each.code, each.where, each.barred, each.say, each.value, each.limit) for each in seen] == [
        (
            "width", "Town", True,
            f"G1 is {told(3)} wide and the clearance at Town is {told(2)}; keep it away from there.",
            2 * inch, 3 * inch,
        ),
        (
            "standing", "Shed", True,
            f"G1 is {told(8)} over couplers and Shed has {told(5)} of standing track; do not leave it there.",
            5 * inch, 8 * inch,
        ),
        (
            "height", "Yard", False,
            f"G1 has no height in its table and the clearance at Yard is {told(3)}; measure it before it goes there.",
            3 * inch, None,
        ),
        (
            "sharp", "between Yard and Town", False,
            f"G1 is {told(8)} long and the sharpest curve between Yard and Town is {told(20)}; "
            "try it there by hand first.",
            20 * inch, 24 * inch,
        ),
        (
            "height", "between Town and Shed", False,
            "G1 has no height in its table and the clearance between Town and Shed is "
            f"{told(2)}; measure it before it goes there.",
            2 * inch, None,
        ),
        (
            "sharp", "between Town and Shed", False,
            f"G1 is {told(8)} long and the sharpest curve between Town and Shed is {told(16)}; "
            "try it there by hand first.",
            16 * inch, 24 * inch,
        ),
    ]  # fmt: skip
    high = tall(height_mm=4 * inch, width_mm=inch, min_radius_mm=20 * inch)
    assert [each.say for each in keep_out(high, where) if each.where == "between Town and Shed"] == [
        f"G1 is {told(4)} high and the clearance between Town and Shed is {told(2)}; keep it away from there.",
        f"G1 needs {told(20)} radius and the sharpest curve between Town and Shed is {told(16)}; "
        "keep it away from there.",
    ]
    (radius,) = (each for each in keep_out(high, where) if each.code == "radius")
    assert (radius.value, radius.limit) == (16 * inch, 20 * inch)


def test_a_curve_that_a_cars_trucks_cannot_stand_on_bars_it() -> None:
    """Half of 820 mm between its trucks is 410 mm, over the 400 mm of the curve."""
    far = replace(tall(min_radius_mm=None), truck_centers_mm=820.0, coupled_length_mm=100.0)
    assert found(far, fork()) == [("radius", "between Yard and Shed", True)]


def test_what_just_fits_is_let_in_whatever_the_unit() -> None:
    """2.3 in of height and width, 5.9 in of track and a 16.1 in curve are 58.42, 149.86 and 408.94 mm: no more."""
    room = 2.3 * 25.4  # 58.419999999999995
    curved = replace(
        builders.line("Yard, branch", "Shed, in", builders.curve(16.1 * 25.4, 45)),
        clearance_height_mm=room,
        clearance_width_mm=room,
    )
    assert room < 58.42
    where = builders.layout(curved, places=[Place("Shed", standing_mm=5.9 * 25.4)])
    just = replace(tall(height_mm=58.42, width_mm=58.42, min_radius_mm=408.94), coupled_length_mm=149.86)
    assert found(just, where) == []
    more: dict[str, Any] = {"height_mm": 58.5, "width_mm": 58.5, "min_radius_mm": 409.1, "coupled_length_mm": 150.0}
    codes = {code for key, value in more.items() for code, _, _ in found(replace(just, **{key: value}), where)}
    assert codes == {"height", "width", "radius", "standing"}


def test_a_train_that_passes_a_low_place_cannot_take_it() -> None:
    where = fork(Place("Town", clearance_height_mm=55.0))
    to_town = builders.train(where, [builders.car("C1")], [builders.engine("1")], stops=("Yard", "Town"))
    to_shed = builders.train(
        where, [builders.car("C2")], [builders.engine("2")], name="Shed Turn", stops=("Yard", "Shed")
    )
    made = builders.session(where, to_town, to_shed)
    (result,) = screen_guests(replace(made, cars=made.cars | {"G1": tall()})).cars
    assert [(ride.train, ride.refusal) for ride in result.trains] == [("Freight 1", "height"), ("Shed Turn", None)]
    assert result.trains[0].why_not == "G1 is 60 mm high and the clearance at Town is 55 mm."
    assert result.answer == "welcome with care"


def test_a_guest_that_leaves_before_the_low_line_may_ride() -> None:
    low = replace(builders.line("Town, east", "End, in", builders.straight(800)), clearance_height_mm=55.0)
    where = builders.layout(builders.line("Yard, east", "Town, west", builders.straight(1000)), low)
    stops = ("Yard", "Town", "End")
    leaving = builders.spot(tall(), 1, leaves=1)
    through = builders.spot(builders.car("C1"), 2, leaves=2)
    short = builders.session(where, builders.train(where, [leaving, through], [builders.engine()], stops=stops))
    assert screen_guests(short).cars[0].trains[0].refusal is None
    staying = replace(leaving, leaves=2)
    whole = builders.session(where, builders.train(where, [staying, through], [builders.engine()], stops=stops))
    assert screen_guests(whole).cars[0].trains[0].refusal == "height"


def test_a_place_that_only_wants_watching_keeps_a_car_out_of_no_train() -> None:
    curved = builders.line("Yard, east", "Town, west", builders.straight(1000), builders.curve(600, 60))
    where = builders.layout(curved, places=[Place("Town", clearance_height_mm=55.0)])
    train = builders.train(where, [builders.car("C1")], [builders.engine("1")], stops=("Yard", "Town"))
    made = builders.session(where, train)
    for height_mm, refusal in ((None, None), (60.0, "height")):
        (result,) = screen_guests(replace(made, cars=made.cars | {"G1": tall(height_mm=height_mm)})).cars
        (ride,) = result.trains
        assert ride.refusal == refusal
        assert (ride.margin is None) == (refusal is not None)
