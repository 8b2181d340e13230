"""The plain model's track, side pulls and peaks by hand, since the package is held against them."""

from __future__ import annotations

import math
from dataclasses import replace

import plain
import pytest
from plain import House, Piece, Track
from plain_trains import CURVE, CURVE_MM, HILLS, HOUSE, LEAD, TRAINS, WITHOUT_DRAG, box, scattered

__all__: list[str] = []


def test_an_easement_is_where_its_heading_leads() -> None:
    """The heading summed up in short steps, into a curve of 100° with easements that turn 50° each, and out of it."""
    track = Track([Piece(radius_mm=500.0, turn="right", angle_deg=100.0, easement_mm=500.0 * math.radians(100.0))])
    x = y = heading = 0.0
    step = track.length_mm / 40_000
    for k in range(40_000):
        middle = (k + 0.5) * step
        bend = min(middle, track.length_mm - middle) / (track.length_mm / 2.0) / 500.0
        heading -= bend * step / 2.0
        x, y = x + step * math.cos(heading), y + step * math.sin(heading)
        heading -= bend * step / 2.0
        if k % 2503 == 0:
            at = track.point((k + 1) * step)
            assert (at.x, at.y) == pytest.approx((x, y), abs=1e-5)
            assert at.curvature == pytest.approx(bend, abs=2.0 * step / track.length_mm / 500.0)
    assert math.degrees(heading) == pytest.approx(-100.0)


def test_track_is_laid_end_to_end_and_goes_on_straight_and_level() -> None:
    for joint in HILLS.joints:
        before, after = HILLS.point(joint - 1e-7), HILLS.point(joint + 1e-7)
        assert before[:3] == pytest.approx(after[:3], abs=3e-7)
    assert HILLS.point(-300.0) == (-300.0, 0.0, 0.0, 0.0)
    end, beyond = HILLS.point(HILLS.length_mm), HILLS.point(HILLS.length_mm + 500.0)
    assert math.dist(end[:3], beyond[:3]) == pytest.approx(500.0)
    assert end.z == beyond.z
    assert math.degrees(math.atan2(beyond.y - end.y, beyond.x - end.x)) == pytest.approx(70.0 - 50.0 - 60.0)


def test_a_half_circle_ends_across_from_where_it_began() -> None:
    track = Track([Piece(radius_mm=700.0, turn="right", angle_deg=180.0, grade_percent=2.0)])
    assert track.length_mm == pytest.approx(700.0 * math.pi)
    assert track.point(track.length_mm)[:3] == pytest.approx((0.0, -1400.0, 14.0 * math.pi))


def test_the_limits_of_ho_by_hand() -> None:
    """tan 60° = 1.7321, so Nadal's is 1.3321/1.6928 = 0.7869, and 0.3935/(1 - 0.7869·9.93/16.5) climbs."""
    assert plain.limits(HOUSE) == pytest.approx((0.8308, 0.7474), abs=1e-4)


@pytest.mark.parametrize("ratio", [87.1, 160.0, 48.0])
def test_side_pulls_load_both_trucks_by_where_the_couplers_pivot(ratio: float) -> None:
    """Cars alike on an even curve stand at C/2R to their couplings; a flange climbs before they tip.

    Pivots are 8.9 mm in HO from the pulling faces, and a curve adds 0.04 % a degree of its full-size radius.
    """
    house = House(ratio=ratio, flange_drag=0.0)
    length, spread, radius = 150.0 * 87.1 / ratio, 100.0 * 87.1 / ratio, 600.0 * 87.1 / ratio
    curve = Track([Piece(radius_mm=radius, turn="left", angle_deg=300.0)])
    like = box(length_mm=length, truck_centers_mm=spread)
    at = plain.figures([replace(like, engine=True, pull_g=50.0), *[like] * 3], curve, house, 3.0 * radius)
    taken = 100.0 * (0.014 + 0.0004 * 5729.58 / (600.0 * 87.1 / 304.8))
    front, rear = (cars * taken * math.sin(150.0 / 600.0 / 2.0) for cars in (3, 2))
    assert (at.pull_front[1], at.pull_rear[1]) == pytest.approx((front, rear))
    pivot, half = 150.0 / 2.0 - 8.9, 50.0
    on_front_truck = (front * (pivot + half) + rear * (half - pivot)) / 100.0
    assert at.use[1] == pytest.approx(on_front_truck / 50.0 / plain.limits(house)[1])


def test_cars_coupled_on_their_trucks_tip_each_truck_alone() -> None:
    """Where a steep flange does not climb: with pulls to either side the body would hardly tip, but its trucks do."""
    house = House(flange_angle_deg=80.0, flange_friction=0.1)
    assert plain.limits(house)[1] == math.inf
    s_curve = Track(
        [
            Piece(length_mm=1000.0),
            Piece(radius_mm=500.0, turn="left", angle_deg=60.0),
            Piece(radius_mm=500.0, turn="right", angle_deg=60.0),
        ]
    )
    middle = 1000.0 + 500.0 * math.radians(60.0)
    train = [replace(LEAD, length_mm=150.0, truck_centers_mm=100.0), *[box(mount="truck")] * 3]
    at = plain.figures(train, s_curve, house, middle + 2.5 * 150.0)
    front, rear = at.pull_front[2], at.pull_rear[2]
    assert front < 0.0 < rear
    assert at.use[2] == pytest.approx(max(-front, rear) / 50.0 / (16.5 / (2.0 * 9.93)))
    on_body = plain.figures([train[0], *[box()] * 3], s_curve, house, middle + 2.5 * 150.0)
    assert on_body.use[2] == pytest.approx(
        abs(on_body.pull_front[2] + on_body.pull_rear[2]) / 100.0 / (16.5 / (2.0 * 9.93))
    )
    assert on_body.use[2] < 0.5 * at.use[2]


def test_a_truck_takes_the_pull_of_its_own_coupler() -> None:
    """With couplers on the trucks what climbs is each pull over half the weight, whatever the other one is."""
    at = plain.figures([LEAD, *[box(mount="truck")] * 3], HILLS, HOUSE, 760.0)
    for k in (1, 2, 3):
        most = max(abs(at.pull_front[k]), abs(at.pull_rear[k]))
        assert at.use[k] == pytest.approx(most / 50.0 / min(plain.limits(HOUSE)))


@pytest.mark.parametrize("name", TRAINS)
def test_left_and_right_are_mirror_images(name: str) -> None:
    other = {"left": "right", "right": "left", "": ""}
    pieces = [
        Piece(radius_mm=520.0, turn="left", angle_deg=70.0, grade_percent=3.0, easement_mm=180.0),
        Piece(radius_mm=450.0, turn="right", angle_deg=50.0, grade_percent=-3.5),
    ]
    track, mirrored = Track(pieces), Track([replace(piece, turn=other[piece.turn]) for piece in pieces])
    for head in scattered(track, 20):
        at, there = (plain.figures(TRAINS[name], where, HOUSE, head) for where in (track, mirrored))
        assert at.use == pytest.approx(there.use, abs=1e-12)
        assert at.tension == pytest.approx(there.tension, abs=1e-10)
        assert at.pull_front == pytest.approx([-pull for pull in there.pull_front], abs=1e-10)
        assert at.pull_rear == pytest.approx([-pull for pull in there.pull_rear], abs=1e-10)


def test_a_train_pulled_backward_is_its_mirror_image_from_rear_to_front() -> None:
    """On level track a train of cars alike pulled from one end is the same train pushed, with every force turned."""
    switcher = box(engine=True, pull_g=50.0)
    pulled = plain.figures([switcher, *[box()] * 5], CURVE, HOUSE, 2500.0)
    pushed = plain.figures([*[box()] * 5, switcher], CURVE, HOUSE, 2500.0)
    assert pushed.tension[::-1] == pytest.approx([-force for force in pulled.tension])
    assert pushed.use[::-1] == pytest.approx(pulled.use)


@pytest.mark.parametrize("name", TRAINS)
def test_peaks_are_the_greatest_of_the_figures_and_told_where_they_are(name: str) -> None:
    train = TRAINS[name]
    found = plain.peaks(train, HILLS, HOUSE, 100.0, 900.0, step_mm=4.0)
    looked = [100.0 + 4.0 * k for k in range(201)]
    seen = [plain.figures(train, HILLS, HOUSE, head) for head in looked]
    for k, peak in enumerate(found.use):
        assert peak.value >= max(at.use[k] for at in seen)
        assert peak.value == plain.figures(train, HILLS, HOUSE, peak.head_mm).use[k]
    for k, (tension, buff) in enumerate(zip(found.tension, found.buff, strict=True)):
        assert tension.value >= max(at.tension[k] for at in seen)
        assert tension.value == plain.figures(train, HILLS, HOUSE, tension.head_mm).tension[k]
        assert buff.value >= max(-at.tension[k] for at in seen)
        assert -buff.value == plain.figures(train, HILLS, HOUSE, buff.head_mm).tension[k]
    assert found.power_use.value == plain.figures(train, HILLS, HOUSE, found.power_use.head_mm).power_use
    assert found.hold_use.value == plain.figures(train, HILLS, HOUSE, found.hold_use.head_mm).hold_use
    assert found.resistance.value >= max(at.resistance for at in seen)
    assert found.hold_use.value >= max(at.hold_use for at in seen)
    assert all(100.0 <= peak.head_mm <= 900.0 for peak in (*found.use, *found.tension, *found.buff))


def test_a_peak_just_past_a_joint_is_found_however_wide_the_steps() -> None:
    """A truck that comes to an uneased curve takes half of what it adds at once, and then runs down the grade."""
    track = Track([Piece(length_mm=200.0), Piece(radius_mm=330.0, turn="left", angle_deg=30.0, grade_percent=-4.0)])
    train = [replace(LEAD, length_mm=120.0, truck_centers_mm=80.0), box(rolling=0.006)]
    found = plain.peaks(train, track, WITHOUT_DRAG, 0.0, 370.0, step_mm=1000.0)
    # the front truck of the car, 120 + 25 mm behind the head, comes to the curve
    assert found.resistance.head_mm == pytest.approx(345.0, abs=1e-5)
    assert found.resistance.value == pytest.approx(100.0 * (0.006 + CURVE_MM / 330.0 / 2.0), rel=1e-3)
    step_before = plain.figures(train, track, WITHOUT_DRAG, found.resistance.head_mm - 1e-4)
    assert step_before.resistance == pytest.approx(0.6)


def test_of_equal_figures_the_first_place_is_told() -> None:
    found = plain.peaks([LEAD, box(), box()], Track([Piece(length_mm=500.0)]), HOUSE, 20.0, 300.0)
    assert found.tension[0] == pytest.approx((2.8, 20.0))
    assert found.power_use.head_mm == found.resistance.head_mm == 20.0


def test_heads_hold_both_ends_each_step_and_each_joint_under_each_truck() -> None:
    track = Track([Piece(length_mm=100.0), Piece(length_mm=100.0, grade_percent=1.0)])
    found = plain.heads([box(truck_centers_mm=90.0)], track, 0.0, 150.5, step_mm=50.0)
    # trucks stand 30 and 120 mm behind the head
    joints = [at + side * 1e-6 for at in (30.0, 120.0, 130.0) for side in (-1.0, 1.0)]
    assert found == pytest.approx(sorted([0.0, 50.0, 100.0, 150.0, 150.5, *joints]), abs=1e-9)
