"""Track: the layout, routes over it and what they can reach, its survey, and a route's centreline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front
from consist.track.layout import Layout, Line, Piece, Place
from consist.track.routes import Route, RouteError, find_route, out_of_reach, separate_parts
from consist.track.survey import SMOOTH, LineSurvey, RoughJoint, rough_joints, survey_line

if TYPE_CHECKING:
    from consist.track.centreline import Centreline

__all__ = [
    "SMOOTH",
    "Centreline",
    "Layout",
    "Line",
    "LineSurvey",
    "Piece",
    "Place",
    "RoughJoint",
    "Route",
    "RouteError",
    "find_route",
    "out_of_reach",
    "rough_joints",
    "separate_parts",
    "survey_line",
]

__getattr__ = lazy_front(__name__, {"Centreline": "consist.track.centreline"})  # it loads NumPy
