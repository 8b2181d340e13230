"""The random sessions: that they hold what they promise, and that the plain legs are the package's."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import plain
import pytest
from many_sessions import SCALE_NAMES, Drawn, random_session

__all__: list[str] = []

SESSIONS = [random_session(seed) for seed in range(150)]


def test_a_seed_gives_the_same_session_every_time() -> None:
    for drawn in SESSIONS[:5]:
        again = random_session(drawn.seed)
        assert again.pieces == drawn.pieces
        assert again.session.house == drawn.session.house
        assert again.train.cars == drawn.train.cars
    assert SESSIONS[0].pieces != SESSIONS[1].pieces
    assert all(random_session(seed, "Z").session.layout.scale.name == "Z" for seed in range(5))


def test_every_kind_of_train_comes_up() -> None:
    trains = [drawn.train for drawn in SESSIONS]
    ends = Counter((len(one.engines), len(one.helpers)) for one in trains)
    # none at all is the rarest
    assert set(ends) == {(ahead, behind) for ahead in range(3) for behind in range(3)}
    assert {drawn.session.layout.scale.name for drawn in SESSIONS} == set(SCALE_NAMES)
    assert {len(one.cars) for one in trains} == set(range(2, 13))
    assert {len(drawn.legs) for drawn in SESSIONS} == {1, 2, 3}
    assert sum(any(car.joins > 0 for car in one.cars) for one in trains) > 15
    cars = [(car, drawn.session.layout.scale) for drawn in SESSIONS for car in drawn.train.cars]
    weights = sorted(car.weight_g / scale.by_ratio(1.0) ** 2 for car, scale in cars)
    assert weights[0] < 15.0
    assert weights[-1] > 250.0
    assert Counter(car.car.coupler_mount for car, _ in cars)["truck"] > 0.2 * len(cars)
    four_wheels = [car for car, scale in cars if car.car.coupled_length_mm < scale.by_ratio(115.0)]
    assert 0.1 * len(cars) < len(four_wheels) < 0.4 * len(cars)
    assert any(car.loaded for car, _ in cars)


def test_every_kind_of_joint_comes_up() -> None:
    seen: Counter[str] = Counter()
    for drawn in SESSIONS:
        shortest_car = min(car.car.coupled_length_mm for car in drawn.train.cars)
        pieces = [*itertools.chain.from_iterable(drawn.pieces)]
        for one, two in itertools.pairwise(pieces):
            back_to_back = one.radius_mm is not None and two.radius_mm is not None
            seen["eased into straight"] += one.easement_mm > 0.0 and two.radius_mm is None
            seen["uneased into straight"] += one.radius_mm is not None and one.easement_mm == 0.0 and two.turn == 0
            seen["S curve"] += back_to_back and one.turn == -two.turn and not one.easement_mm
            seen["eased S curve"] += back_to_back and one.turn == -two.turn and one.easement_mm > 0.0
            seen["compound"] += back_to_back and one.turn == two.turn and one.radius_mm != two.radius_mm
            seen["grade"] += one.grade != two.grade
        for piece in pieces:
            seen["3 mm"] += piece.length_mm == pytest.approx(drawn.session.layout.scale.by_ratio(3.0))
            seen["half a car"] += any(
                piece.length_mm == pytest.approx(car.car.coupled_length_mm / 2.0) for car in drawn.train.cars
            )
            seen["shorter than a car"] += piece.length_mm < shortest_car
            seen["nothing but easement"] += piece.easement_mm > 0.999 * piece.length_mm / 2.0
    assert len(seen) == 10
    assert min(seen.values()) > 30, seen


def test_lines_are_written_from_either_end() -> None:
    ways = Counter(
        of_line.start[0] < of_line.finish[0] for drawn in SESSIONS for of_line in drawn.session.layout.lines
    )
    assert min(ways[True], ways[False]) > 30


@pytest.mark.parametrize("drawn", SESSIONS[:40], ids=lambda drawn: str(drawn.seed))
def test_plain_legs_are_those_of_the_train(drawn: Drawn) -> None:
    """The stops, the track and the cars between them, worked out here without the package's routes."""
    one = drawn.train
    names = [[car.car.name for car in leg.cars] for leg in one.legs]
    assert [(leg.start, leg.finish) for leg in drawn.legs] == [(leg.start, leg.finish) for leg in one.legs]
    for plain_leg, leg, cars in zip(drawn.legs, one.legs, names, strict=True):
        assert (plain_leg.from_mm, plain_leg.to_mm) == pytest.approx(one.leg_mm(leg))
        engines, helpers = [each.name for each in one.engines], [each.name for each in one.helpers]
        assert list(plain_leg.names) == [*engines, *cars, *helpers]
        assert [vehicle.engine for vehicle in plain_leg.train] == [name.isdigit() for name in plain_leg.names]
    for share in (0.13, 0.5, 0.871):
        there, at = (
            drawn.track.point(share * one.route.length_mm),
            one.route.centreline.at(share * one.route.length_mm),
        )
        assert there[:3] == pytest.approx((float(at.x), float(at.y), float(at.z)), abs=1e-6)


def test_every_train_can_stand_where_it_runs_and_its_forces_add_up() -> None:
    """No coupler stands as far as 60° off its car's axis, so that no figure is of what cannot be."""
    seen: Counter[str] = Counter()
    for drawn in SESSIONS:
        for leg in drawn.legs:
            assert any(not vehicle.engine for vehicle in leg.train)
            for k in range(25):
                at = plain.figures(
                    leg.train, leg.track, leg.house, leg.from_mm + (leg.to_mm - leg.from_mm) * (k + 0.37) / 25
                )
                for coupling, force in enumerate(at.tension):
                    if abs(force) > 1e-6:
                        for pull in (at.pull_rear[coupling], at.pull_front[coupling + 1]):
                            assert abs(pull / force) < math.sin(math.radians(60.0))
                if any(vehicle.engine for vehicle in leg.train):
                    scale = sum(map(abs, at.given)) + sum(map(abs, at.tension))
                    assert sum(at.given) == pytest.approx(at.resistance, abs=1e-10 * scale)
                    seen["short of pull"] += 1.0 < at.power_use < math.inf
                    seen["without pull"] += at.power_use == math.inf
                    seen["holding back"] += 0.0 < at.hold_use <= 1.0
                    seen["short of hold"] += 1.0 < at.hold_use < math.inf
                    seen["without hold"] += at.hold_use == math.inf
    assert min(seen.values()) > 10, seen
