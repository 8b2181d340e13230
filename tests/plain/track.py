"""The centreline of a route, laid piece by piece."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

__all__ = ["Piece", "Point", "Track"]


@dataclass(frozen=True)
class Piece:
    """A piece of track as a layout's file gives it: a straight of `length_mm`, or a curve."""

    length_mm: float = 0.0
    grade_percent: float = 0.0
    radius_mm: float | None = None
    turn: str = ""
    angle_deg: float = 0.0
    easement_mm: float = 0.0


class Point(NamedTuple):
    """One point of the centreline; `curvature` is unsigned."""

    x: float
    y: float
    z: float
    curvature: float


class Track:
    """A centreline from the origin along +x: pieces end to end, straight and level before and after.

    `joints` are where straights, arcs and easements begin, and where the last one ends.
    """

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self._elements = [_Element(*STRAIGHT_AND_LEVEL, start=0.0, at=Point(0.0, 0.0, 0.0, 0.0), heading=0.0)]
        start = heading = 0.0
        at = Point(0.0, 0.0, 0.0, 0.0)
        for run in [*_runs(pieces), STRAIGHT_AND_LEVEL]:
            element = _Element(*run, start=start, at=at, heading=heading)
            self._elements.append(element)
            at = element.point(element.length)
            heading += element.turn
            start += element.length
        self.joints = [element.start for element in self._elements[1:]]
        self.length_mm = self.joints[-1]

    def point(self, s: float) -> Point:
        """The centreline `s` mm from the start of the route."""
        element = self._elements[bisect_right(self.joints, s)]
        return element.point(s - element.start)


STRAIGHT_AND_LEVEL = (1.0, 0.0, 0.0, 0.0)
"""As a run: its length does not matter before the route and after it."""


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


class _Element:
    """A run of track whose curvature goes evenly from `k0` to `k1`, and the pose in which it begins."""

    def __init__(
        self, length: float, k0: float, k1: float, grade: float, *, start: float, at: Point, heading: float
    ) -> None:
        self.length, self.k0, self.k1, self.grade = length, k0, k1, grade
        self.start, self.at = start, at
        self.cos, self.sin = math.cos(heading), math.sin(heading)
        self.sharpening = (k1 - k0) / length
        self.turn = (k0 + k1) / 2.0 * length

    def point(self, u: float) -> Point:
        """The centreline after `u` mm."""
        forward, left = self.local(u)
        return Point(
            self.at.x + forward * self.cos - left * self.sin,
            self.at.y + forward * self.sin + left * self.cos,
            self.at.z + self.grade * u,
            abs(self.k0 + self.sharpening * u),
        )

    def local(self, u: float) -> tuple[float, float]:
        """How far forward and to the left one has come after `u` mm."""
        if self.k0 == self.k1 == 0.0:
            return u, 0.0
        if self.k0 == self.k1:
            # 1 - cos by the half angle, which loses nothing on a slight curve
            return math.sin(self.k0 * u) / self.k0, 2.0 * math.sin(self.k0 * u / 2.0) ** 2 / self.k0
        if self.k0 == 0.0:
            return _easement(self.sharpening, u)
        # out of a curve: an easement into it, run backwards from its straight end
        whole_forward, whole_left = _easement(-self.sharpening, self.length)
        rest_forward, rest_left = _easement(-self.sharpening, self.length - u)
        forward, left = whole_forward - rest_forward, rest_left - whole_left
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        return forward * cos - left * sin, forward * sin + left * cos


def _easement(sharpening: float, u: float) -> tuple[float, float]:
    """How far forward and to the left one comes in `u` mm from a straight, into a curvature of sharpening·u.

    The heading after v mm is sharpening·v²/2. Its cosine and sine are integrated term by term of their series:
    forward is the sum of u·(-1)ⁿ·h²ⁿ/((2n)!·(4n + 1)), left that of u·(-1)ⁿ·h²ⁿ⁺¹/((2n + 1)!·(4n + 3)), h the
    heading after u.
    """
    heading = sharpening * u * u / 2.0
    forward = left = 0.0
    term, n = u, 0
    while abs(term) > 1e-18 * abs(u):
        forward += term / (4 * n + 1)
        left += term * heading / (2 * n + 1) / (4 * n + 3)
        n += 1
        term *= -heading * heading / ((2 * n - 1) * (2 * n))
    return forward, left
