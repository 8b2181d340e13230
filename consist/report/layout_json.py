"""A layout's survey as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import isfinite
from typing import Any

from consist.mechanics import curve_share_per_curvature
from consist.report.json import SCHEMA
from consist.report.json_text import json_text
from consist.track import Layout, LineSurvey, Place, RoughJoint, out_of_reach, rough_joints, survey_line

__all__ = ["layout_as_json"]


def layout_as_json(layout: Layout, notes: Sequence[str]) -> str:
    """The object of `consist layout --json`, indented, ending in a newline; lengths in mm, grades in per cent."""
    share = curve_share_per_curvature(layout.scale.ratio)
    scale = layout.scale
    whole = {
        "schema": SCHEMA,
        "layout": layout.name,
        "scale": {
            "name": scale.name,
            "ratio": scale.ratio,
            "gauge_mm": scale.gauge_mm,
            "coupler_height_mm": scale.coupler_height_mm,
        },
        "unit": layout.unit,
        "lines": [_line(survey_line(line, share)) for line in layout.lines],
        "places": [_place(layout, place) for place in layout.places.values()],
        "out_of_reach": {place: list(others) for place, others in out_of_reach(layout).items()},
        "joints": [_joint(joint) for joint in rough_joints(layout)],
        "notes": list(notes),
    }
    return json_text(whole)


def _line(found: LineSurvey) -> dict[str, Any]:
    line = found.line
    return {
        "from": list(line.start),
        "to": list(line.finish),
        "length_mm": line.length_mm,
        "rise_mm": line.rise_mm,
        "ruling_percent": 100.0 * found.ruling,
        "ruling_back_percent": 100.0 * found.ruling_back,
        "ruling_with_curves_percent": 100.0 * found.ruling_with_curves,
        "ruling_back_with_curves_percent": 100.0 * found.ruling_back_with_curves,
        "sharpest_radius_mm": found.sharpest_radius_mm,
    }


def _place(layout: Layout, place: Place) -> dict[str, Any]:
    ends = layout.ends(place.name)
    return {
        "place": place.name,
        "ends": list(ends),
        "through": [list(pair) for pair in itertools.combinations(ends, 2) if place.allows(*pair)],
        "standing_mm": place.standing_mm,
    }


def _joint(joint: RoughJoint) -> dict[str, Any]:
    return {
        "where": joint.where,
        "line": joint.line,
        "piece": joint.piece,
        "distance_mm": joint.distance_mm,
        "radius_before_mm": _radius(joint.before),
        "radius_after_mm": _radius(joint.after),
        "jump_per_mm": joint.jump,
    }


def _radius(curvature: float) -> float | None:
    """The radius of a curvature, left positive; None for straight track."""
    radius = 1.0 / curvature if curvature else None
    return radius if radius is not None and isfinite(radius) else None
