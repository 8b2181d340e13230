"""The results as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from math import isfinite
from numbers import Integral, Real
from typing import Any

from consist.checking.results import (
    CarResult,
    LegResult,
    Move,
    PeakDrawbar,
    PowerResult,
    SessionCheck,
    Suggestion,
    TrainCheck,
    WorstPlace,
)
from consist.report.json_text import json_text
from consist.rules.finding import Finding

__all__ = ["KEYS", "LEFT_OUT", "SCHEMA", "as_json"]

SCHEMA = 1
"""The number of this form of the object; it changes where a reader of the old form would be misled."""

KEYS: Mapping[type, Mapping[str, str]] = {
    SessionCheck: {"session": "session", "layout": "layout", "trains": "trains"}, TrainCheck: { name: name for name in
    ( "train", "verdict", "margin", "side_use", "worst", "order_score", "heavy_forward", "weight_g", "length_mm",
    "route_mm", "peak_drawbar", "power", "cars", "legs", "findings", "suggestion", ) }, WorstPlace: {"car": "car",
    "spot": "spot", "head_mm": "head_mm", "place": "place"}, PeakDrawbar: {"g": "g", "behind": "behind", "head_mm":
    "head_mm", "place": "place"}, PowerResult: {"assigned": "assigned", "needed": "needed", "by_class": "by_class",
    "use": "use", "hold_use": "hold_use"}, CarResult: { name: name for name in ("car", "spot", "weight_g", "side_use",
    "margin", "peak_drawbar_g") }, LegResult: { "start": "from", "finish": "to", "cars": "cars", "weight_g":
    "weight_g", "margin": "margin", "side_use": "side_use", "peak_drawbar_g": "peak_drawbar_g", "power_use":
    "power_use", }, Finding: {name: name for name in ("code", "level", "car", "spot", "place", "value", "limit",
    "say")}, Suggestion: {"order": "order", "margin": "margin", "moves": "moves"}, Move: {"cars": "cars", "after":
    "after"}, }  # fmt: skip
"""For each kind of result, the key of each of its fields, in the order of the object."""

LEFT_OUT: Mapping[type, frozenset[str]] = {WorstPlace: frozenset({"car_mm"})}
"""Fields that only the pages need."""


def as_json(check: SessionCheck) -> str:
    """The object of `--json`, indented, ending in a newline; the same check gives the same text.

    Raises `TypeError` where a result has a field that `KEYS` and `LEFT_OUT` do not name.
    """
    whole = {"schema": SCHEMA, **_object(check)}
    return json_text(whole)


def _object(result: Any) -> dict[str, Any]:
    kind = type(result)
    keys = KEYS[kind]
    have = {field.name for field in fields(kind)} - LEFT_OUT.get(kind, frozenset())
    if have != set(keys):
        raise TypeError(f"{kind.__name__} and its keys in JSON differ in {sorted(have ^ set(keys))}")
    return {key: _value(getattr(result, name)) for name, key in keys.items()}


def _value(value: Any) -> Any:
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value) if isfinite(value) else None
    if isinstance(value, tuple | list):
        return [_value(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _value(item) for key, item in value.items()}
    return _object(value)
