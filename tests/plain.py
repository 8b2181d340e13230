"""The model in plain loops, for the package to be held against.

Written from the design alone, its sections on the train on the track, the forces along it and the side pull: plain
floats and `math`, one position of the head and one vehicle at a time. It shares no code with the package, and it is
slow on purpose, so that every line can be held against a line of the design.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Figures", "House", "Piece", "Point", "Track", "Vehicle", "figures", "limits"]

SIMPSON_INTERVALS = 48


@dataclass(frozen=True)
class Piece:
    """A piece of track as a layout's file gives it: a straight of `length_mm`, or a curve."""

    length_mm: float = 0.0
    grade_percent: float = 0.0
    radius_mm: float | None = None
    turn: str = ""
    angle_deg: float = 0.0
    easement_mm: float = 0.0


@dataclass(frozen=True)
class Vehicle:
    """An engine (`pull_g` as measured, before any reserve) or a car (`rolling` as a share of weight)."""

    length_mm: float
    truck_centers_mm: float
    weight_g: float
    mount: str = "body"
    rolling: float = 0.0
    engine: bool = False
    pull_g: float = 0.0


@dataclass(frozen=True)
class House:
    """What the scale and the house set: lengths in mm, reserve as a share, the flange's angle in degrees."""

    ratio: float = 87.1
    gauge_mm: float = 16.5
    coupler_height_mm: float = 9.93
    reserve: float = 0.15
    flange_angle_deg: float = 60.0
    flange_friction: float = 0.4


@dataclass(frozen=True)
class Point:
    """One point of the centreline; `curvature` is unsigned."""

    x: float
    y: float
    z: float
    curvature: float


@dataclass(frozen=True)
class Figures:
    """A train with its head at one place. Lists run over couplings (`tension`) or vehicles (the others)."""

    tension: list[float]
    resistance: float
    usable: float
    pull_front: list[float]
    pull_rear: list[float]
    use: list[float]


@dataclass(frozen=True)
class _Element:
    """A run of track whose curvature goes evenly from `k0` to `k1`, and where it begins."""

    start: float
    length: float
    k0: float
    k1: float
    grade: float
    x: float
    y: float
    z: float
    heading: float

    def turned(self, u: float) -> float:
        """How far the track has turned after `u` mm of this element."""
        return self.k0 * u + (self.k1 - self.k0) * u * u / (2.0 * self.length)

    def local(self, u: float) -> tuple[float, float]:
        """How far forward and to the left one has come after `u` mm."""
        if self.k0 == self.k1 == 0.0:
            return u, 0.0
        if self.k0 == self.k1:
            return math.sin(self.k0 * u) / self.k0, (1.0 - math.cos(self.k0 * u)) / self.k0
        forward = left = 0.0
        step = u / SIMPSON_INTERVALS
        for j in range(SIMPSON_INTERVALS + 1):
            weight = 1.0 if j in (0, SIMPSON_INTERVALS) else 4.0 if j % 2 else 2.0
            forward += weight * math.cos(self.turned(j * step))
            left += weight * math.sin(self.turned(j * step))
        return forward * step / 3.0, left * step / 3.0

    def point(self, u: float) -> tuple[float, float, float]:
        """Position after `u` mm."""
        forward, left = self.local(u)
        cos, sin = math.cos(self.heading), math.sin(self.heading)
        return self.x + forward * cos - left * sin, self.y + forward * sin + left * cos, self.z + self.grade * u


class Track:
    """A centreline from the origin along +x: pieces end to end, straight and level before and after."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.elements: list[_Element] = []
        start = x = y = z = heading = 0.0
        for length, k0, k1, grade in _runs(pieces):
            element = _Element(start, length, k0, k1, grade, x, y, z, heading)
            self.elements.append(element)
            x, y, z = element.point(length)
            heading += element.turned(length)
            start += length
        self.length_mm = start
        self._end = _Element(start, 1.0, 0.0, 0.0, 0.0, x, y, z, heading)

    def point(self, s: float) -> Point:
        """The centreline `s` mm from the start of the route."""
        if s < 0.0:
            return Point(s, 0.0, 0.0, 0.0)
        found = self._end
        for element in self.elements:
            if element.start <= s < element.start + element.length:
                found = element
                break
        u = s - found.start
        x, y, z = found.point(u)
        return Point(x, y, z, abs(found.k0 + (found.k1 - found.k0) * u / found.length))


def _runs(pieces: Sequence[Piece]) -> list[tuple[float, float, float, float]]:
    """Length, curvature at either end and grade of each straight, arc and easement."""
    runs = []
    for piece in pieces:
        grade = piece.grade_percent / 100.0
        if piece.radius_mm is None:
            runs.append((piece.length_mm, 0.0, 0.0, grade))
            continue
        bend = (1.0 if piece.turn == "left" else -1.0) / piece.radius_mm
        eased = piece.easement_mm
        # each easement turns e/2R, so the arc between them has e/R less than all the turning
        arc = piece.radius_mm * (math.radians(piece.angle_deg) - eased / piece.radius_mm)
        runs.append((eased, 0.0, bend, grade))
        runs.append((arc, bend, bend, grade))
        runs.append((eased, bend, 0.0, grade))
    return [run for run in runs if run[0] > 0.0]


def limits(house: House) -> tuple[float, float]:
    """The tipping limit and the climbing limit (infinite where the car tips first), as shares of weight."""
    tangent = math.tan(math.radians(house.flange_angle_deg))
    nadal = (tangent - house.flange_friction) / (1.0 + house.flange_friction * tangent)
    lever = nadal * house.coupler_height_mm / house.gauge_mm
    climb = math.inf if lever >= 1.0 else (nadal / 2.0) / (1.0 - lever)
    return house.gauge_mm / (2.0 * house.coupler_height_mm), climb


def _curve_share(house: House, curvature: float) -> float:
    """0.0004 a degree, 5729.58 ft of full-size radius being one degree."""
    if curvature == 0.0:
        return 0.0
    full_size_feet = house.ratio / curvature / 304.8
    return 0.0004 * 5729.58 / full_size_feet


def _pivot(vehicle: Vehicle, house: House) -> float:
    if vehicle.mount == "truck":
        return vehicle.truck_centers_mm / 2.0
    return vehicle.length_mm / 2.0 - 8.9 * 87.1 / house.ratio


def figures(train: Sequence[Vehicle], track: Track, house: House, head_mm: float) -> Figures:
    """Everything the design computes of a train with its head at one place."""
    stands = []
    face = head_mm
    for vehicle in train:
        middle, half = face - vehicle.length_mm / 2.0, vehicle.truck_centers_mm / 2.0
        stands.append((track.point(middle + half), track.point(middle - half)))
        face -= vehicle.length_mm
    shares = []
    for vehicle, (front, rear) in zip(train, stands, strict=True):
        slope = (front.z - rear.z) / vehicle.truck_centers_mm
        shares.append(slope + _curve_share(house, (front.curvature + rear.curvature) / 2.0))
    tension, resistance, usable = _forces(train, shares, house)
    pull_front, pull_rear = _side_pulls(train, stands, tension, house)
    use = [
        0.0 if vehicle.engine else _use(vehicle, y_front, y_rear, house)
        for vehicle, y_front, y_rear in zip(train, pull_front, pull_rear, strict=True)
    ]
    return Figures(tension, resistance, usable, pull_front, pull_rear, use)


def _forces(train: Sequence[Vehicle], shares: Sequence[float], house: House) -> tuple[list[float], float, float]:
    resistance = usable = 0.0
    for vehicle, share in zip(train, shares, strict=True):
        if vehicle.engine:
            usable += vehicle.pull_g * (1.0 - house.reserve) - vehicle.weight_g * share
        else:
            resistance += vehicle.weight_g * (share + vehicle.rolling)
    net = []
    lead = True
    for vehicle, share in zip(train, shares, strict=True):
        if not vehicle.engine:
            net.append(vehicle.weight_g * (share + vehicle.rolling))
        elif resistance > 0.0:
            own = vehicle.pull_g * (1.0 - house.reserve) - vehicle.weight_g * share
            net.append(-own * resistance / usable)
        else:
            net.append(-resistance if lead else 0.0)
            lead = False
    tension = []
    for k in range(len(train) - 1):
        behind = 0.0
        for value in net[k + 1 :]:
            behind += value
        tension.append(behind)
    return tension, resistance, usable


def _side_pulls(
    train: Sequence[Vehicle], stands: Sequence[tuple[Point, Point]], tension: Sequence[float], house: House
) -> tuple[list[float], list[float]]:
    """Side pull at each vehicle's front and rear pivot, to its left."""
    at_front, at_rear = [0.0] * len(train), [0.0] * len(train)
    for k, force in enumerate(tension):
        ax, ay, anx, any_ = _pivot_and_left(train[k], stands[k], house, -1.0)
        bx, by, bnx, bny = _pivot_and_left(train[k + 1], stands[k + 1], house, 1.0)
        gap = math.hypot(bx - ax, by - ay)
        dx, dy = (bx - ax) / gap, (by - ay) / gap
        at_rear[k] = force * (dx * anx + dy * any_)
        at_front[k + 1] = force * (-dx * bnx - dy * bny)
    return at_front, at_rear


def _pivot_and_left(
    vehicle: Vehicle, stand: tuple[Point, Point], house: House, side: float
) -> tuple[float, float, float, float]:
    """A coupler's pivot, at the front for side +1, and the unit vector to the vehicle's left."""
    front, rear = stand
    chord = math.hypot(front.x - rear.x, front.y - rear.y)
    ux, uy = (front.x - rear.x) / chord, (front.y - rear.y) / chord
    along = side * _pivot(vehicle, house)
    return (front.x + rear.x) / 2.0 + along * ux, (front.y + rear.y) / 2.0 + along * uy, -uy, ux


def _use(vehicle: Vehicle, y_front: float, y_rear: float, house: House) -> float:
    tip, climb = limits(house)
    spread, pivot = vehicle.truck_centers_mm, _pivot(vehicle, house)
    front_truck = (y_front * (pivot + spread / 2.0) + y_rear * (spread / 2.0 - pivot)) / spread
    rear_truck = (y_rear * (pivot + spread / 2.0) + y_front * (spread / 2.0 - pivot)) / spread
    tipping = abs(y_front + y_rear) / vehicle.weight_g / tip
    climbing = max(abs(front_truck), abs(rear_truck)) / (vehicle.weight_g / 2.0) / climb
    return max(tipping, climbing)
