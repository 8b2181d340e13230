"""The minimal combinations of a train against every combination, each run exactly."""

from __future__ import annotations

import itertools

import pytest
from builders import World, car, engine, straight, world
from hypothesis import given, settings
from strategies import trains_on_track

from consist.power.train_pull import TrainPull, minimal_combos
from consist.stock import Engine
from consist.trains import weakest

__all__: list[str] = []


def _roster(scale: float) -> list[Engine]:
    """Classes weak enough that trains of a few cars need several engines."""
    return [
        *(engine(f"{k}", 90.0, 11.0, 90.0 * scale, engine_class="Weak") for k in range(3)),
        *(engine(f"1{k}", 150.0, 20.0, 130.0 * scale, engine_class="Mid") for k in range(2)),
        engine("20", 260.0, 42.0, 200.0 * scale, engine_class="Big"),
    ]


@given(trains_on_track())
@settings(max_examples=15, deadline=None)
def test_against_every_combination(drawn: World) -> None:
    scale = drawn.session.layout.scale
    of = world(drawn.train.route.pieces, drawn.train.cars, scale=scale, roster=_roster(scale.by_ratio(1.0)))
    pull = TrainPull(of.prepared)
    classes = of.session.classes
    enough = []
    for counts in itertools.product(*(range(len(owned) + 1) for owned in classes.values())):
        ahead = [weakest(owned) for owned, count in zip(classes.values(), counts, strict=True) for _ in range(count)]
        if 0 < len(ahead) <= 6 and pull.worst(ahead).use <= 1.0:
            enough.append(counts)
    least = [
        counts
        for counts in enough
        if not any(other != counts and all(map(int.__le__, other, counts)) for other in enough)
    ]
    found = minimal_combos(pull, classes)
    assert found.complete
    listed = [tuple(combo.classes.get(name, 0) for name in classes) for combo in found.combos]
    assert sorted(listed) == sorted(least)
    assert [sum(counts) for counts in listed] == sorted(map(sum, least))


def _hill(roster: list[Engine]) -> TrainPull:
    """Ten cars of 100 g on 2 % take 1000 x 0.034 = 34 g."""
    of = world([straight(6000.0, 2.0)], [car(f"C{k}") for k in range(10)], roster=roster)
    return TrainPull(of.prepared)


def test_by_hand_on_an_even_grade() -> None:
    """Small: 300 g and 30 g keep 25.5 g and lose 6 g to the grade, 19.5 g. Big: 400 g and 60 g, 51 - 8 = 43 g.

    So one Big clears 34 g by 9 g, two Small by 5 g.
    """
    small = [engine(f"{k}", 300.0, 30.0, engine_class="Small") for k in range(3)]
    pull = _hill([*small, engine("9", 400.0, 60.0, engine_class="Big")])
    big, two = minimal_combos(pull, pull.of.session.classes).combos
    assert (dict(big.classes), dict(two.classes)) == ({"Big": 1}, {"Small": 2})
    assert (big.use, big.clears_g) == pytest.approx((34.0 / 43.0, 9.0))
    assert (two.use, two.clears_g) == pytest.approx((34.0 / 39.0, 5.0))
    assert two.tightest.place == "between Left Yard and Right Yard"


def test_no_class_goes_past_the_engines_owned() -> None:
    pull = _hill([engine("1", 300.0, 30.0, engine_class="Small")])
    assert minimal_combos(pull, pull.of.session.classes).combos == ()


def test_no_more_than_six_go_together() -> None:
    """Each keeps 8.5 g and loses 2 g: 6.5 g, of which six make 39 g; with 7.5 g of pull it is 4.375 g, too few."""
    for pull_g, expected in ((10.0, [{"A": 6}]), (7.5, [])):
        pull = _hill([engine(f"{k}", 100.0, pull_g, 60.0) for k in range(9)])
        assert [combo.classes for combo in minimal_combos(pull, pull.of.session.classes).combos] == expected


def test_a_train_without_cars_takes_one_engine() -> None:
    of = world([straight(2000.0)], [], roster=[engine("1"), engine("2", engine_class="B")])
    pull = TrainPull(of.prepared)
    assert [combo.classes for combo in minimal_combos(pull, of.session.classes).combos] == [{"A": 1}, {"B": 1}]


def test_engines_all_of_unlike_classes_are_cut_short_and_said_to_be() -> None:
    """Each of 20 has 9.5 g to use on the hill, so any four do: 4845 combinations, of which 250 are listed."""
    pull = _hill([engine(f"{k:02}", 50.0, 10.5 / 0.85, 60.0, engine_class=f"{k:02}") for k in range(20)])
    found = minimal_combos(pull, pull.of.session.classes)
    assert not found.complete
    assert len(found.combos) == 250
    assert {combo.engines for combo in found.combos} == {4}


def test_the_place_where_it_is_tightest() -> None:
    """A level line with one steep piece: the tightest head is where the two cars stand wholly on it."""
    pieces = [straight(2000.0), straight(1000.0, 3.0), straight(2000.0)]
    of = world(pieces, [car("C1"), car("C2")], roster=[engine("1", 100.0, 30.0)])
    (combo,) = minimal_combos(TrainPull(of.prepared), of.session.classes).combos
    # 200 x 0.044 = 8.8 g, against 25.5 - 3 g with the engine on the grade too: heads from 2500 mm to 3000 mm
    assert combo.use == pytest.approx(8.8 / 22.5)
    assert 2500.0 <= combo.tightest.head_mm <= 3000.0 + of.tables.step_mm
