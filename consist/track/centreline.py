"""The centreline of a route in plan and profile, asked at any distance.

Each stretch holds its own start and is evaluated from there, a line and a circle in closed form and a clothoid by one
quadrature, so that nothing is summed up step by step. Before the start and past the end the track goes
on straight and level. Distances are along the track in plan, in millimetres; headings in radians, left positive.

Sources: the clothoid as Fresnel integrals, NIST Digital Library of Mathematical Functions, section 7.2(iii); Gauss's
rule, 3.5(v) (both from memory). `tests/outside` holds this against SciPy's Fresnel integrals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consist.track.layout import Piece

__all__ = ["Centreline", "Joints", "Stretches", "TrackPoints"]

Floats = NDArray[np.float64]
GAUSS_POINTS = 10
"""Enough for an easement that turns by all of half a circle."""
AS_AN_ARC = 1e-12
"""A change of curvature over a whole stretch below this (1/mm) is taken as none: it moves no point by a micron."""


@dataclass(frozen=True)
class TrackPoints:
    """Points of the centreline, each field an array of the shape that was asked for.

    `x`, `y`, `z` in mm; `heading` in radians; `curvature` in 1/mm, left positive; `grade` as rise over run.
    """

    x: Floats
    y: Floats
    z: Floats
    heading: Floats
    curvature: Floats
    grade: Floats


@dataclass(frozen=True)
class Joints:
    """Where one stretch of even curvature meets the next, each field of shape (joints,).

    Curvature in 1/mm, left positive; grade as rise over run.
    """

    distance_mm: Floats
    curvature_before: Floats
    curvature_after: Floats
    grade_before: Floats
    grade_after: Floats


@dataclass(frozen=True)
class Stretches:
    """The stretches of even curvature that make up the track, each field of shape (stretches,).

    The first stands for the straight track before the route and is of no length, the last for that past its end.
    `bend` is the unsigned curvature at the start (1/mm), `bend_change` its change along the track (1/mm²).
    """

    start_mm: Floats
    height_mm: Floats
    grade: Floats
    bend: Floats
    bend_change: Floats


class Centreline:
    """The centreline of pieces laid end to end from the origin, heading along +x, at height 0.

    >>> quarter = Centreline([Piece(radius_mm=1000.0, turn=1, angle=np.pi / 2)])
    >>> end = quarter.at(quarter.length_mm)
    >>> round(float(end.x), 6), round(float(end.y), 6)
    (1000.0, 1000.0)
    """

    def __init__(self, pieces: Sequence[Piece], *, start_mm: float = 0.0, turned_at: Sequence[int] = ()) -> None:
        """Distances count from `start_mm`. Before pieces numbered in `turned_at` the way turns about on the spot."""
        # before the route and past its end the track is straight and level
        beyond, about = (0.0, 0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0, np.pi)
        laid = []
        for number, piece in enumerate(pieces):
            laid += [about] if number in turned_at else []
            laid += [(*stretch, piece.grade, 0.0) for stretch in piece.stretches()]
        length, self._curvature, self._end_curvature, self._grade, about_by = np.array([beyond, *laid, beyond]).T
        change = self._end_curvature - self._curvature
        self._sharpening = change / np.where(length > 0.0, length, 1.0)
        self._clothoid = np.abs(change) > AS_AN_ARC
        self._start = start_mm + _summed(length)
        self._heading = _summed(0.5 * (self._curvature + self._end_curvature) * length + about_by)
        self._z = _summed(self._grade * length)
        self._x, self._y = map(_summed, self._offsets(np.arange(len(length)), length))

    @property
    def start_mm(self) -> float:
        """Where the route starts."""
        return float(self._start[0])

    @property
    def end_mm(self) -> float:
        """Where it ends."""
        return float(self._start[-1])

    @property
    def length_mm(self) -> float:
        """The length of the route."""
        return self.end_mm - self.start_mm

    @property
    def joints(self) -> Joints:
        """What changes at each joint, both ends of the route included."""
        bends = self._end_curvature[:-1], self._curvature[1:]
        return Joints(self._start[1:], *bends, self._grade[:-1], self._grade[1:])

    @property
    def stretches(self) -> Stretches:
        """The stretches in order."""
        side = np.sign(self._curvature + self._end_curvature)
        return Stretches(self._start, self._z, self._grade, np.abs(self._curvature), self._sharpening * side)

    def at(self, distance_mm: ArrayLike) -> TrackPoints:
        """The centreline at distances of any shape, in mm from the start of the route.

        At a joint the stretch that begins there counts.
        """
        distance = np.asarray(distance_mm, dtype=np.float64)
        flat = distance.ravel()
        k = np.clip(np.searchsorted(self._start[1:], flat, side="right"), 0, len(self._start) - 1)
        along = flat - self._start[k]
        dx, dy = self._offsets(k, along)
        points = (
            self._x[k] + dx,
            self._y[k] + dy,
            self._z[k] + self._grade[k] * along,
            self._heading[k] + along * (self._curvature[k] + 0.5 * self._sharpening[k] * along),
            self._curvature[k] + self._sharpening[k] * along,
            self._grade[k],
        )
        return TrackPoints(*(each.reshape(distance.shape) for each in points))

    def _offsets(self, k: NDArray[np.intp], along: Floats) -> tuple[Floats, Floats]:
        """How far in plan one comes from the start of stretches `k` in `along` mm."""
        heading, bend = self._heading[k], self._curvature[k]
        # sin(u)/u and (1 - cos u)/u stay exact however slight the curve is, straight included
        turned = bend * along
        forward = along * np.sinc(turned / np.pi)
        aside = along * np.sin(0.5 * turned) * np.sinc(0.5 * turned / np.pi)
        dx = forward * np.cos(heading) - aside * np.sin(heading)
        dy = forward * np.sin(heading) + aside * np.cos(heading)
        eased = self._clothoid[k]
        if np.any(eased):
            dx[eased], dy[eased] = _clothoid_offsets(
                heading[eased], bend[eased], self._sharpening[k][eased], along[eased]
            )
        return dx, dy


def _summed(steps: Floats) -> Floats:
    """Where each stretch starts, from what each adds."""
    return np.concatenate(([0.0], np.cumsum(steps[:-1])))


def _clothoid_offsets(heading: Floats, curvature: Floats, sharpening: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Offsets in plan along clothoids: heading(s) = heading + curvature·s + sharpening·s²/2.

    The integrals of its cosine and sine by Gauss's rule, whose error for a turn of half a circle is beyond the last
    digit of a float. They are Fresnel integrals; SciPy's are exact too, but loading them takes longer than a check.
    """
    nodes, weights = _gauss_rule()
    part = 0.5 * along[:, None] * (nodes + 1.0)
    direction = np.exp(1j * (heading[:, None] + part * (curvature[:, None] + 0.5 * sharpening[:, None] * part)))
    # a product of matrices would wake the threads of a library for it, which then wait for more at full speed
    offset = 0.5 * along * (direction * weights).sum(axis=1)
    return offset.real, offset.imag


@cache
def _gauss_rule() -> tuple[Floats, Floats]:
    """Where Gauss's rule looks from -1 to 1, and the weights."""
    nodes, weights = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    return nodes, weights
