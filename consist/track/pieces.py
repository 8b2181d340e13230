"""Pieces of track: a straight, or a curve with its easements, as stretches of simple curvature.

A stretch has a curvature that is constant (a straight, an arc) or changes evenly along it (a clothoid, the
curve of an easement). Curvature is signed, left positive, in 1/mm.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Piece", "Stretch"]


@dataclass(frozen=True)
class Stretch:
    """A length of track whose curvature goes evenly from one value to another."""

    length_mm: float
    curvature: float
    end_curvature: float


@dataclass(frozen=True)
class Piece:
    """A straight or a curve on one grade.

    `turn` is +1 to the left, -1 to the right, 0 straight. `length_mm` is measured along the track in plan.

    >>> curve = Piece(grade=0.02, radius_mm=600.0, turn=1, angle=1.0, easement_mm=100.0)
    >>> curve.length_mm
    700.0
    >>> [stretch.length_mm for stretch in curve.stretches()]
    [100.0, 500.0, 100.0]
    """

    grade: float = 0.0
    straight_mm: float = 0.0
    radius_mm: float | None = None
    turn: int = 0
    angle: float = 0.0
    easement_mm: float = 0.0

    @property
    def length_mm(self) -> float:
        """Length along the track: for a curve, the radius times all its turning, and one easement more."""
        if self.radius_mm is None:
            return self.straight_mm
        return self.radius_mm * self.angle + self.easement_mm

    def reversed(self) -> Piece:
        """The same piece run the other way: grade negated, turn mirrored."""
        return Piece(-self.grade, self.straight_mm, self.radius_mm, -self.turn, self.angle, self.easement_mm)

    def stretches(self) -> tuple[Stretch, ...]:
        """The piece as stretches of even curvature, in order."""
        if self.radius_mm is None:
            return (Stretch(self.straight_mm, 0.0, 0.0),)
        bend = self.turn / self.radius_mm
        arc_mm = max(self.radius_mm * self.angle - self.easement_mm, 0.0)
        whole = [Stretch(arc_mm, bend, bend)]
        if self.easement_mm > 0.0:
            whole = [Stretch(self.easement_mm, 0.0, bend), *whole, Stretch(self.easement_mm, bend, 0.0)]
        return tuple(stretch for stretch in whole if stretch.length_mm > 0.0)
