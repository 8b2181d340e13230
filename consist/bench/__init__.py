"""The bench: target weights, what to add to which car and where, and which cars come first.

The names are loaded with their first use, so that a target alone needs none of NumPy, pandas and networkx. `target`
and `choose` are imported from the modules of those names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from consist.bench.lengths import parse_done, parse_length
    from consist.bench.listing import bench_cars, bench_list
    from consist.bench.places import place_for
    from consist.bench.results import BenchCar, BenchList, Choice, ExtraEngine, Status, Target, TrainAfter

__all__ = [
    "BenchCar",
    "BenchList",
    "Choice",
    "ExtraEngine",
    "Status",
    "Target",
    "TrainAfter",
    "bench_cars",
    "bench_list",
    "parse_done",
    "parse_length",
    "place_for",
]

_FROM = {
    "BenchCar": "results",
    "BenchList": "results",
    "Choice": "results",
    "ExtraEngine": "results",
    "Status": "results",
    "Target": "results",
    "TrainAfter": "results",
    "bench_cars": "listing",
    "bench_list": "listing",
    "parse_done": "lengths",
    "parse_length": "lengths",
    "place_for": "places",
}


def __getattr__(name: str) -> Any:
    if name in _FROM:
        from importlib import import_module

        return getattr(import_module(f"consist.bench.{_FROM[name]}"), name)
    raise AttributeError(f"module 'consist.bench' has no attribute '{name}'")
