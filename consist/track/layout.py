"""A layout: places joined by lines of track, and which moves a train may make through each place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from consist.scales import Scale
from consist.track.pieces import Piece

if TYPE_CHECKING:
    from consist.track.centreline import Centreline

__all__ = ["Layout", "Line", "Place"]

End = tuple[str, str]
"""A place and the name of one of its ends."""


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
        if arrived_by == leaves_by:
            return False
        return self.through is None or frozenset((arrived_by, leaves_by)) in self.through


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

    `unit` is what its owner measures in. `notes` are oddities met where it was read, one sentence each.
    """

    name: str
    scale: Scale
    unit: str
    places: dict[str, Place]
    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()

    def directed_lines(self) -> tuple[Line, ...]:
        """Every line in both directions, in a steady order."""
        return tuple(way for line in self.lines for way in (line, line.reversed()))

    def ends(self, place: str) -> tuple[str, ...]:
        """The ends of a place that lines come to, in the order of the layout's file."""
        found = [end for line in self.lines for where, end in (line.start, line.finish) if where == place]
        return tuple(dict.fromkeys(found))
