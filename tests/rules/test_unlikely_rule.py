"""What is hardly meant in a train's cars and in the track under it."""

from __future__ import annotations

from builders import car, case, curve, one_line, session, straight, train

from consist.rules import Finding
from consist.rules.unlikely import unlikely
from consist.stock import Car
from consist.track import Piece

__all__: list[str] = []

TRACK = (straight(900.0), curve(900.0, 60.0), straight(900.0))


def _found(own: Car, *pieces: Piece) -> list[Finding]:
    where = one_line(*(pieces or TRACK))
    one = train(where, [own])
    return unlikely(case(session(where, one), one))


def test_a_usual_car_on_usual_track_is_not_asked_about() -> None:
    assert _found(car()) == []


def test_a_weight_in_the_other_unit_is_asked_about() -> None:
    (light,) = _found(car(weight_g=3.8, target_g=110.0))
    assert (light.level, light.car, light.value) == ("care", "C1", 3.8)
    assert "was it meant in ounces?" in light.say
    (heavy,) = _found(car(weight_g=110.0 * 28.35, target_g=110.0))
    assert "was it meant in grams?" in heavy.say
    assert "weigh it again." in _found(car(weight_g=36.0, target_g=110.0))[0].say
    assert _found(car(weight_g=37.0, target_g=110.0)) == []


def test_a_car_of_no_length_that_cars_have_is_asked_about() -> None:
    """15 and 110 ft are 52.5 and 384.9 mm in HO."""
    assert _found(car(length_mm=53.0)) == []
    assert _found(car(length_mm=384.0)) == []
    (found,) = _found(car(length_mm=386.0))
    assert "110 ft at full size; was it meant in millimetres?" not in found.say
    assert "110 ft at full size; is the figure wrong, or the scale?" in found.say


def test_a_slip_in_the_track_under_a_train_is_asked_about() -> None:
    (found,) = _found(car(), straight(900.0), straight(900.0, 0.02), curve(900.0, 60.0))
    assert (found.level, found.car) == ("care", None)
    assert found.say.startswith("Piece 2 of line 1 (Left Yard to Right Yard) has a grade of 0.02 %")
