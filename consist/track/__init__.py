"""Track: the layout, routes over it and what they can reach, its survey, and a route's centreline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.track.centreline import Centreline, Joints, Stretches, TrackPoints
    from consist.track.layout import Layout, Line, Place
    from consist.track.pieces import Piece
    from consist.track.routes import Route, RouteError, find_route, out_of_reach, separate_parts
    from consist.track.survey import SMOOTH, LineSurvey, RoughJoint, rough_joints, survey_line

__all__ = [
    "SMOOTH",
    "Centreline",
    "Joints",
    "Layout",
    "Line",
    "LineSurvey",
    "Piece",
    "Place",
    "RoughJoint",
    "Route",
    "RouteError",
    "Stretches",
    "TrackPoints",
    "find_route",
    "out_of_reach",
    "rough_joints",
    "separate_parts",
    "survey_line",
]

_ROOMS = {
    "centreline": ("Centreline", "Joints", "Stretches", "TrackPoints"),
    "layout": ("Layout", "Line", "Place"),
    "pieces": ("Piece",),
    "routes": ("Route", "RouteError", "find_route", "out_of_reach", "separate_parts"),
    "survey": ("SMOOTH", "LineSurvey", "RoughJoint", "rough_joints", "survey_line"),
}

__getattr__ = lazy_front(
    __name__, {name: f"consist.track.{module}" for module, names in _ROOMS.items() for name in names}
)
