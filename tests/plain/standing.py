"""All that the design computes of a train with its head at one place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plain.pulling import Pulling
from plain.stock import House, Vehicle, curve_share, limits, pivot_mm
from plain.track import Point, Track

__all__ = ["Figures", "figures"]


@dataclass(frozen=True)
class Figures:
    """A train with its head at one place. Lists run over couplings (`tension`) or vehicles (the others).

    `given` is what an engine pulls, negative where it holds back, and 0 for a car; `drag` is what side loads cost a
    car. `resistance` is what all cars take, drag included; `usable` what all engines can pull. Without an engine the
    first car is drawn by hand. `power_use` is 0 where the cars push, and `hold_use` where they have to be pulled.
    """

    tension: list[float]
    resistance: float
    usable: float
    pull_front: list[float]
    pull_rear: list[float]
    use: list[float]
    given: list[float]
    drag: list[float]
    power_use: float
    hold_use: float


def figures(train: Sequence[Vehicle], track: Track, house: House, head_mm: float) -> Figures:
    """A train's figures with its head `head_mm` from the start of the route."""
    stands, shares = [], []
    face = head_mm
    for vehicle in train:
        middle, half = face - vehicle.length_mm / 2.0, vehicle.truck_centers_mm / 2.0
        front, rear = track.point(middle + half), track.point(middle - half)
        slope = (front.z - rear.z) / vehicle.truck_centers_mm
        stands.append((front, rear))
        shares.append(slope + curve_share(house, (front.curvature + rear.curvature) / 2.0))
        face -= vehicle.length_mm
    sine_front, sine_rear = _sines(train, stands, house)
    pulling = Pulling(train, shares, sine_front, sine_rear, house)
    given, power_use, hold_use = pulling.engines()
    ahead = pulling.tensions(given)
    behind = [*ahead[1:], 0.0] if train else []
    pull_front = [force * sine for force, sine in zip(ahead, sine_front, strict=True)]
    pull_rear = [force * sine for force, sine in zip(behind, sine_rear, strict=True)]
    bounds = limits(house)
    use, drag = [0.0] * len(train), [0.0] * len(train)
    for k, vehicle in enumerate(train):
        if not vehicle.engine:
            use[k] = _use(vehicle, pull_front[k], pull_rear[k], house, bounds)
            drag[k] = house.flange_drag * (abs(pull_front[k]) + abs(pull_rear[k]))
    resistance, usable = sum(pulling.asked) + sum(drag), sum(pulling.able(1.0))
    return Figures(ahead[1:], resistance, usable, pull_front, pull_rear, use, given, drag, power_use, hold_use)


def _sines(
    train: Sequence[Vehicle], stands: Sequence[tuple[Point, Point]], house: House
) -> tuple[list[float], list[float]]:
    """The share of a pull at each vehicle's front, and at its rear, that acts to its left; 0 without a coupling."""
    at_front, at_rear = [0.0] * len(train), [0.0] * len(train)
    pivots = [_pivots_and_left(vehicle, stand, house) for vehicle, stand in zip(train, stands, strict=True)]
    for k in range(len(train) - 1):
        _, (ax, ay), (left_x, left_y) = pivots[k]
        (bx, by), _, (next_left_x, next_left_y) = pivots[k + 1]
        gap = math.hypot(bx - ax, by - ay)
        dx, dy = (bx - ax) / gap, (by - ay) / gap
        at_rear[k] = dx * left_x + dy * left_y
        at_front[k + 1] = -dx * next_left_x - dy * next_left_y
    return at_front, at_rear


def _pivots_and_left(
    vehicle: Vehicle, stand: tuple[Point, Point], house: House
) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
    """The pivots of the front and the rear coupler, and the unit vector to the vehicle's left."""
    front, rear = stand
    chord = math.hypot(front.x - rear.x, front.y - rear.y)
    ux, uy = (front.x - rear.x) / chord, (front.y - rear.y) / chord
    middle_x, middle_y = (front.x + rear.x) / 2.0, (front.y + rear.y) / 2.0
    out = pivot_mm(vehicle, house)
    return (middle_x + out * ux, middle_y + out * uy), (middle_x - out * ux, middle_y - out * uy), (-uy, ux)


def _use(vehicle: Vehicle, y_front: float, y_rear: float, house: House, bounds: tuple[float, float]) -> float:
    """A car's side use under these side pulls at its front and rear coupler."""
    tip, climb = bounds
    spread, pivot = vehicle.truck_centers_mm, pivot_mm(vehicle, house)
    front_truck = (y_front * (pivot + spread / 2.0) + y_rear * (spread / 2.0 - pivot)) / spread
    rear_truck = (y_rear * (pivot + spread / 2.0) + y_front * (spread / 2.0 - pivot)) / spread
    if vehicle.mount == "truck":
        # each pull acts on its own truck alone, and each truck tips alone
        tipping = max(abs(y_front), abs(y_rear)) / (vehicle.weight_g / 2.0) / tip
    else:
        tipping = abs(y_front + y_rear) / vehicle.weight_g / tip
    climbing = max(abs(front_truck), abs(rear_truck)) / (vehicle.weight_g / 2.0) / climb
    return max(tipping, climbing)
