"""Track: the layout, routes over it and what they can reach, its survey, and a route's centreline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front
from consist.track.layout import Layout, Line, Piece, Place
from consist.track.routes import BACKING, Route, RouteError, Run, find_route, other_way, out_of_reach, separate_parts
from consist.track.survey import SMOOTH, LineSurvey, RoughJoint, rough_joints, survey_line

if TYPE_CHECKING:
    from consist.track.centreline import Centreline
    from consist.track.closure import Closure, Loop, Pose, Slip, close_up, loop_words
    from consist.track.slips import TrackFinding

__all__ = [
    "BACKING",
    "SMOOTH",
    "Centreline",
    "Closure",
    "Layout",
    "Line",
    "LineSurvey",
    "Loop",
    "Piece",
    "Place",
    "Pose",
    "RoughJoint",
    "Route",
    "RouteError",
    "Run",
    "Slip",
    "TrackFinding",
    "close_up",
    "find_route",
    "loop_words",
    "other_way",
    "out_of_reach",
    "rough_joints",
    "separate_parts",
    "survey_line",
]

_LATE = {
    "centreline": ("Centreline",),
    "closure": ("Closure", "Loop", "Pose", "Slip", "close_up", "loop_words"),
    "slips": ("TrackFinding",),
}
# they load NumPy
__getattr__ = lazy_front(__name__, {name: f"consist.track.{file}" for file, names in _LATE.items() for name in names})
