"""Track: the layout, routes over it, and the centreline of a route in plan and profile."""

from __future__ import annotations

from consist.track.centreline import Centreline, Joints, TrackPoints
from consist.track.layout import Layout, Line, Place, layout_from_record
from consist.track.pieces import Piece
from consist.track.routes import Route, RouteError, find_route

__all__ = [
    "Centreline",
    "Joints",
    "Layout",
    "Line",
    "Piece",
    "Place",
    "Route",
    "RouteError",
    "TrackPoints",
    "find_route",
    "layout_from_record",
]
