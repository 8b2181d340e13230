"""The model in plain loops, for the package to be held against.

Written from the design alone, its sections on the train on the track, the forces along it and the side pull: plain
floats and `math`, one position of the head and one vehicle at a time. It shares no code with the package, and it is
simple on purpose, so that every line can be held against a line of the design.
"""

from __future__ import annotations

from plain.running import Peak, Peaks, heads, peaks
from plain.standing import Figures, figures
from plain.stock import House, Vehicle, limits
from plain.track import Piece, Point, Track

__all__ = [
    "Figures",
    "House",
    "Peak",
    "Peaks",
    "Piece",
    "Point",
    "Track",
    "Vehicle",
    "figures",
    "heads",
    "limits",
    "peaks",
]
