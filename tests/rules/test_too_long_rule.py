"""`too-long`: trains longer than the track they are to stand on."""

from __future__ import annotations

import pytest
from builders import car, case, engine, layout, line, session, spot, straight, train

from consist.rules.case import Finding
from consist.rules.whole_trains import too_long
from consist.session import CarInTrain
from consist.track import Place

__all__: list[str] = []


def _found(standing: dict[str, float], *cars: CarInTrain, engine_mm: float = 200.0) -> list[Finding]:
    where = layout(
        line("West, e", "Mill, w", straight(3000.0)),
        line("Mill, e", "East, w", straight(3000.0)),
        places=[Place(name, None, length) for name, length in standing.items()],
    )
    one = train(where, cars, [engine(length_mm=engine_mm)], stops=("West", "Mill", "East"))
    return too_long(case(session(where, one), one))


THROUGH = [spot(car(f"C{k}", length_mm=150.0), k + 1, leaves=2) for k in range(4)]


def test_a_train_longer_than_the_standing_track_is_a_matter_of_care() -> None:
    """One engine of 200 mm and four cars of 150 mm are 800 mm."""
    (found,) = _found({"East": 799.0}, *THROUGH)
    assert (found.level, found.place, found.limit) == ("care", "East", 799.0)
    assert found.value == pytest.approx(800.0)


def test_just_long_enough_is_enough() -> None:
    assert _found({"East": 800.0, "West": 900.0, "Mill": 800.0}, *THROUGH) == []


@pytest.mark.parametrize("tenths", range(31, 120, 4))
def test_a_train_as_long_as_its_track_is_not_too_long(tenths: int) -> None:
    """Cars of whole tenths of an inch on a track of just their length and the engine's, written in inches."""
    length_mm = tenths / 10 * 25.4
    for count in range(1, 13):
        cars = [spot(car(f"C{k}", length_mm=length_mm), k + 1, leaves=2) for k in range(count)]
        track_mm = (count * tenths + 80) / 10 * 25.4
        assert _found({"East": track_mm}, *cars, engine_mm=8 * 25.4) == []


def test_what_is_to_be_taken_off_is_told_no_finer_than_it_can_be_measured() -> None:
    (found,) = _found({"East": 799.94}, *THROUGH)
    assert "take off 0.1 mm," in found.say
    assert "800 mm long and East has 799.9 mm" in found.say


def test_every_stop_counts_the_train_as_it_is_there() -> None:
    """Two cars more from West to Mill: there 1100 mm, at East 800 mm."""
    more = [spot(car(f"D{k}", length_mm=150.0), k + 5, leaves=1) for k in range(2)]
    found = _found({"West": 1000.0, "Mill": 1000.0, "East": 1000.0}, *THROUGH, *more)
    assert [(one.place, round(one.value or 0.0)) for one in found] == [("West", 1100), ("Mill", 1100)]


def test_a_place_of_no_known_length_says_nothing() -> None:
    assert _found({}, *THROUGH) == []
