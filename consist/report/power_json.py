"""A plan of power as one JSON object, every figure in full; what has no value is null."""

from __future__ import annotations

from dataclasses import fields
from math import isfinite
from typing import Any

from consist.power import Option, PowerPlan, Tightest, TrainPower
from consist.report.json_text import json_text

__all__ = ["power_as_json"]


def power_as_json(plan: PowerPlan) -> str:
    """The object of `consist power --json`, indented, ending in a newline; the same plan gives the same text."""
    whole = {
        "trains": [_train(train) for train in plan.trains],
        "plan": {
            "engines": {train: list(names) for train, names in plan.engines.items()},
            "engines_used": plan.engines_used,
            "short": list(plan.short),
            "proven": plan.proven,
        },
    }
    return json_text(whole)


def _train(train: TrainPower) -> dict[str, Any]:
    return {
        "train": train.train,
        "combos": [dict(combo.classes) for combo in train.combos],
        "assigned": list(train.assigned),
        "use": _finite(train.use),
        "tightest": None if train.tightest is None else _tightest(train.tightest),
        "short": train.short,
        "options": [_option(option) for option in train.options],
    }


def _tightest(tightest: Tightest) -> dict[str, Any]:
    return {"place": tightest.place, "head_mm": _finite(tightest.head_mm)}


def _option(option: Option) -> dict[str, Any]:
    values = {field.name: getattr(option, field.name) for field in fields(option)}
    values["use"] = _finite(option.use)
    return {key: list(value) if isinstance(value, tuple) else value for key, value in values.items()}


def _finite(value: float | None) -> float | None:
    return float(value) if value is not None and isfinite(value) else None
