"""The sentences of a screening word by word, and how a guest that rides tonight is tried."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import car, curve, engine, one_line, session, spot, straight, train
from screening.test_screening_answers import SHARP, guest, screened

from consist.house import GuestPractice, House
from consist.screening import screen_guests, spots_words

__all__: list[str] = []


@pytest.mark.parametrize(
    ("stands", "spots", "told"),
    [
        ((1, 2, 3), 3, "any spot"),
        ((1,), 21, "the first spot"),
        ((1, 2), 21, "the first two spots"),
        ((21,), 21, "the last spot"),
        (tuple(range(12, 22)), 21, "the last ten spots"),
        (tuple(range(11, 22)), 21, "the last 11 spots"),
        ((5,), 12, "spot 5"),
        ((5, 6, 7, 8, 9, 12), 12, "spots 5 to 9 and the last"),
        ((1, 3, 4, 5), 5, "spots 1 and 3 to the last"),
    ],
)
def test_spots_are_told_as_a_person_says_them(stands: tuple[int, ...], spots: int, told: str) -> None:
    assert spots_words(stands, spots) == told


def test_a_refusal_is_told_of_the_last_spot_and_reads_on_after_a_colon() -> None:
    result = screened(guest(max_swing_deg=0.5))
    (ride,) = result.trains
    assert ride.why_not is not None
    assert ride.why_not.startswith("With G1 in the last spot of Freight 1 its coupler would have to swing ")
    assert ride.why_not.endswith(" degrees and has 0.5.")
    assert result.reasons[0] == f"None of tonight's trains can take G1: w{ride.why_not[1:]}"
    assert result.grounds[0].do == "Keep it for another evening."


def test_a_spot_that_is_not_the_last_is_told_by_its_number() -> None:
    """A guest in a spot where its margin is too thin: what is wrong there is told of that spot."""
    light = guest(weight_g=30.0, target_g=30.0)
    heavy = [car(f"H{number}", 190.0) for number in range(14)]
    where = one_line(*SHARP)
    standing = [spot(light, 1), *(spot(one, number) for number, one in enumerate(heavy, start=2))]
    of = session(where, train(where, standing, [engine(pull_g=900.0, weight_g=900.0)]))
    (result,) = screen_guests(of).cars
    ride = result.trains[0]
    assert ride.standing_fault is not None
    assert ride.standing_fault.startswith("In spot 1 of Freight 1 G1 would keep a margin of ")
    assert any("may not ride there: in spot 1 of Freight 1 G1 would keep" in reason for reason in result.reasons)


def test_a_target_that_would_do_is_told_in_the_layouts_own_unit() -> None:
    light = guest(weight_g=25.0, target_g=400.0)
    heavy = [car(f"H{number}", 190.0) for number in range(14)]
    where = one_line(*SHARP)
    standing = [spot(light, 1), *(spot(one, number) for number, one in enumerate(heavy, start=2))]
    for unit, told in (("in", "14.11 oz"), ("mm", "400 g")):
        within = replace(where, unit=unit)
        of = session(within, train(within, standing, [engine(pull_g=900.0, weight_g=900.0)]))
        (result,) = screen_guests(of).cars
        assert any(f"; at its target of {told} it may stay there." in reason for reason in result.reasons)


def test_a_guest_that_rides_loaded_in_one_train_and_empty_in_another_is_tried_empty() -> None:
    one = guest(load_g=900.0)
    where = one_line(straight(800.0), curve(900.0, 60.0), straight(400.0))
    others = [car(f"C{number}") for number in range(6)]

    def rides(loaded: bool, name: str) -> object:
        return train(where, [*others[:3], spot(one, 4, loaded=loaded)], [engine(name)], name=name)

    both = session(where, rides(True, "1"), rides(False, "2"))  # type: ignore[arg-type]
    (result,) = screen_guests(both).cars
    assert result.weight_g == one.weight_g
    twice = session(where, rides(True, "1"), rides(True, "2"))  # type: ignore[arg-type]
    (result,) = screen_guests(twice).cars
    assert result.weight_g == one.weight_g + 900.0


def test_a_far_neighbours_coupler_is_no_matter_of_the_guest() -> None:
    """A coupler that swings too far with or without the guest, three cars off, keeps it out of no spot but those
    beside that car."""
    tight = car("T", max_swing_deg=0.4)
    cars = [tight, *(car(f"C{number}") for number in range(4))]
    where = one_line(*SHARP)
    of = session(where, train(where, cars, [engine()]))
    one = guest()
    (result,) = screen_guests(replace(of, cars=of.cars | {one.name: one})).cars
    assert set(result.trains[0].stands) >= {3, 4, 5, 6}


def test_nothing_is_found_against_a_car_of_the_house() -> None:
    assert screened(guest()).answer == "welcome"


def test_what_was_not_looked_at_is_to_be_looked_at_where_the_house_asks_for_it() -> None:
    house = House(guests=GuestPractice(needs_gauge_check=True, needs_coupler_check=True))
    grounds = screened(guest(), house=house).grounds
    assert [(ground.code, ground.do) for ground in grounds] == [
        ("wheels", "Try its wheels in the gauge."),
        ("coupler-height", "Hold its couplers to the height gauge."),
    ]
    assert screened(guest(wheels_in_gauge=True, coupler_height_ok=True), house=house).grounds == ()
