"""What is hardly meant in a train's cars and in the track under it."""

from __future__ import annotations

from builders import car, case, curve, layout, line, one_line, session, straight, train

from consist.rules import Finding, findings
from consist.rules.unlikely import slip_of_most, unlikely
from consist.stock import Car
from consist.track import Piece

__all__: list[str] = []

TRACK = (straight(900.0), curve(900.0, 60.0), straight(900.0))


def _found(own: Car, *pieces: Piece) -> list[Finding]:
    return _of_all(own, track=pieces or TRACK)


def _of_all(*cars: Car, track: tuple[Piece, ...] = TRACK) -> list[Finding]:
    where = one_line(*track)
    one = train(where, list(cars))
    of = case(session(where, one), one)
    return [*slip_of_most(of), *unlikely(of)]


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


def test_a_slip_of_most_of_a_trains_cars_is_that_of_the_column_and_told_once() -> None:
    light = [car(name, grams, target_g=110.0) for name, grams in (("A", 3.8), ("B", 4.2), ("C", 3.1))]
    (found,) = _of_all(*light)
    assert found.say == "All 3 cars of the train weigh 3.1 to 4.2 g empty; is their column in ounces?"
    assert (found.level, found.car, found.spot, found.value) == ("care", None, None, 3.8)
    assert found.limit is not None
    assert 35.0 < found.limit < 37.0
    (most,) = _of_all(car("D", 110.0, target_g=110.0), *light)
    assert most.say.startswith("3 of the 4 cars of the train")
    assert (found.cars, most.cars) == (("A", "B", "C"), ("A", "B", "C"))


def test_a_slip_of_few_cars_or_of_half_of_them_is_each_cars_own() -> None:
    good = [car(f"G{number}", 110.0, target_g=110.0) for number in range(3)]
    light = [car(f"L{number}", 3.8, target_g=110.0) for number in range(3)]
    assert [found.car for found in _of_all(*light[:2])] == ["L0", "L1"]
    assert [found.car for found in _of_all(*light, *good)] == ["L0", "L1", "L2"]


def test_lengths_and_weights_are_asked_about_by_themselves_and_what_no_unit_mends_by_car() -> None:
    cars = [car(name, 3.8, length_mm=6.0, target_g=110.0) for name in "ABC"]
    odd = car("D", 36.0, length_mm=150.0, target_g=110.0)
    long, light, own = _of_all(*cars, odd)
    assert long.say == "3 of the 4 cars of the train are 6 mm long; is their column in inches?"
    assert light.say == "3 of the 4 cars of the train weigh 3.8 g empty; is their column in ounces?"
    assert own.car == "D"
    assert own.say.endswith("weigh it again.")


def test_a_slip_in_the_track_under_a_train_is_asked_about() -> None:
    (found,) = _found(car(), straight(900.0), straight(900.0, 0.02), curve(900.0, 60.0))
    assert (found.level, found.car) == ("care", None)
    assert found.say.startswith("Piece 2 of line 1 (Left Yard to Right Yard) has a grade of 0.02 %")


def test_a_slip_of_the_whole_layout_is_asked_about_once_in_every_train() -> None:
    (found,) = _found(car(), straight(50.0), *(curve(30.0, 90.0) for _ in range(3)), straight(50.0))
    assert (found.level, found.car, found.place, found.value) == ("care", None, None, 30.0)
    assert found.say.startswith("All 3 curves of ")
    assert found.say.endswith("is the file in inches?")


def test_a_figure_is_told_in_the_unit_that_it_is_written_in_whatever_the_layouts() -> None:
    """A car's 3.8 g would be 0.13 oz, of which nobody knows whether it was meant in ounces."""
    where = layout(line("A, e", "B, w", *TRACK), unit="in")
    for count, said in (
        (1, ["C0 in spot 1 is 6 mm long, ", "C0 in spot 1 weighs 3.8 g empty, 0.035 times the 110 g of "]),
        (3, ["All 3 cars of the train are 6 mm long; ", "All 3 cars of the train weigh 3.8 g empty; "]),
    ):
        cars = [car(f"C{number}", 3.8, length_mm=6.0, target_g=110.0) for number in range(count)]
        one = train(where, cars, stops=("A", "B"))
        of = case(session(where, one), one)
        found = [*slip_of_most(of), *unlikely(of)]
        assert [each.say[: len(start)] for each, start in zip(found, said, strict=True)] == said
    heavy = train(where, [car("H", 110.0 * 28.35, length_mm=150.0 * 25.4, target_g=110.0)], stops=("A", "B"))
    of = case(session(layout(*where.lines), heavy), heavy)
    assert [each.say.partition(";")[0] for each in unlikely(of)] == [
        "H in spot 1 is 150 in long, 1089 ft at full size",
        f"H in spot 1 weighs 110.00 oz empty, 28 times the 3.88 oz of {of.session.standard.title}",
    ]


def test_what_most_have_in_common_is_told_first_of_its_level() -> None:
    where = one_line(*TRACK)
    one = train(where, [car(name, 3.8, target_g=110.0) for name in "ABC"])
    told = [each.code for each in findings(case(session(where, one), one)) if each.level == "care"]
    assert told[0] == "unlikely"
    assert "underweight" in told[1:]
