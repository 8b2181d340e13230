"""A layout: places joined by lines of track, piece by piece, and which moves a train may make through each place.

A piece is a straight, or a curve with its easements. A stretch of it has a curvature that is constant (a straight, an
arc) or changes evenly along it (a clothoid, the curve of an easement). Curvature is signed, left positive, in 1/mm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from consist.scales import Scale

if TYPE_CHECKING:
    from consist.track.centreline import Centreline
    from consist.track.slips import TrackFinding

__all__ = ["Layout", "Line", "Piece", "Place", "Stretch"]

End = tuple[str, str]
"""A place and the name of one of its ends."""


class Stretch(NamedTuple):
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

    @property
    def curvatures(self) -> tuple[float, float]:
        """The curvature at its start and at its end; that of a straight for a curve of no length at all."""
        stretches = self.stretches() or (Stretch(0.0, 0.0, 0.0),)
        return stretches[0].curvature, stretches[-1].end_curvature

    def reversed(self) -> Piece:
        """The same piece run the other way: grade negated, turn mirrored."""
        return replace(self, grade=-self.grade, turn=-self.turn)

    def stretches(self) -> tuple[Stretch, ...]:
        """The piece as stretches of even curvature, in order."""
        if self.radius_mm is None:
            return (Stretch(self.straight_mm, 0.0, 0.0),)
        bend = self.turn / self.radius_mm
        eased_mm, arc_mm = self.easement_mm, max(self.radius_mm * self.angle - self.easement_mm, 0.0)
        whole = Stretch(eased_mm, 0.0, bend), Stretch(arc_mm, bend, bend), Stretch(eased_mm, bend, 0.0)
        return tuple(stretch for stretch in whole if stretch.length_mm > 0.0)


@dataclass(frozen=True)
class Place:
    """A place: a point with named ends. `through` is None where any two different ends may be joined.

    The clearances are the height above the rail and the width of what may pass; None where nothing is in the way.
    """

    name: str
    through: frozenset[frozenset[str]] | None = None
    standing_mm: float | None = None
    clearance_height_mm: float | None = None
    clearance_width_mm: float | None = None

    def allows(self, arrived_by: str, leaves_by: str) -> bool:
        """Whether a train that came in by one end may go out by the other without reversing."""
        return arrived_by != leaves_by and (self.through is None or {arrived_by, leaves_by} in self.through)


@dataclass(frozen=True)
class Line:
    """Track from one end of a place to an end of another, in one of its two directions.

    The clearances are those of a place.
    """

    start: End
    finish: End
    pieces: tuple[Piece, ...]
    clearance_height_mm: float | None = None
    clearance_width_mm: float | None = None

    @property
    def length_mm(self) -> float:
        """The length of the line along the track."""
        return sum(piece.length_mm for piece in self.pieces)

    @property
    def rise_mm(self) -> float:
        """How much higher the finish lies than the start."""
        return sum(piece.grade * piece.length_mm for piece in self.pieces)

    @property
    def where(self) -> str:
        """Where on it something is: between its two places, or the place that it is."""
        start, finish = self.start[0], self.finish[0]
        return start if start == finish else f"between {start} and {finish}"

    @property
    def name(self) -> str:
        """The line by its places, as a crew says it."""
        return f"{self.start[0]} to {self.finish[0]}"

    @cached_property
    def centreline(self) -> Centreline:
        """The line's track in plan and profile, from its start."""
        from consist.track.centreline import Centreline

        return Centreline(self.pieces)

    def reversed(self) -> Line:
        """The same track run the other way."""
        pieces = tuple(piece.reversed() for piece in reversed(self.pieces))
        return replace(self, start=self.finish, finish=self.start, pieces=pieces)


@dataclass(frozen=True)
class Layout:
    """A layout's places by name and its lines in the direction they are written.

    `unit` is what its owner measures in. `notes` are oddities met where it was read, one sentence each. Of a layout
    that is `apart` only the hardest places are known: each is a line by itself, which nothing joins to another.
    """

    name: str
    scale: Scale
    unit: str
    places: dict[str, Place]
    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()
    apart: bool = False

    @cached_property
    def findings(self) -> tuple[TrackFinding, ...]:
        """What in its track is hardly meant."""
        from consist.track.slips import track_findings

        return track_findings(self)

    @cached_property
    def has_loops(self) -> bool:
        """Whether there may be more than one way between two of its places."""
        part = {name: name for name in self.places}

        def whole(place: str) -> str:
            while part[place] != place:
                part[place] = place = part[part[place]]
            return place

        for line in self.lines:
            one, other = whole(line.start[0]), whole(line.finish[0])
            if one == other:
                return True
            part[one] = other
        return False

    def directed_lines(self) -> tuple[Line, ...]:
        """Every line in both directions, in a steady order."""
        return tuple(way for line in self.lines for way in (line, line.reversed()))

    def ends(self, place: str) -> tuple[str, ...]:
        """The ends of a place that lines come to, in the order of the layout's file."""
        return tuple(self._ends.get(place, ()))

    @cached_property
    def _ends(self) -> dict[str, dict[str, None]]:
        found: dict[str, dict[str, None]] = {}
        for place, end in (each for line in self.lines for each in (line.start, line.finish)):
            found.setdefault(place, {})[end] = None
        return found
