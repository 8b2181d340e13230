"""The bench: target weights, what to add to which car and where, and which cars come first.

The names are loaded with their first use, so that a target alone needs none of NumPy, pandas and networkx. `target`
and `choose` are imported from the modules of those names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.bench.lengths import parse_done, parse_length
    from consist.bench.listing import bench_cars, plan_bench
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
    "parse_done",
    "parse_length",
    "place_for",
    "plan_bench",
]

_FROM = {
    "BenchCar": "consist.bench.results",
    "BenchList": "consist.bench.results",
    "Choice": "consist.bench.results",
    "ExtraEngine": "consist.bench.results",
    "Status": "consist.bench.results",
    "Target": "consist.bench.results",
    "TrainAfter": "consist.bench.results",
    "bench_cars": "consist.bench.listing",
    "plan_bench": "consist.bench.listing",
    "parse_done": "consist.bench.lengths",
    "parse_length": "consist.bench.lengths",
    "place_for": "consist.bench.places",
}

__getattr__ = lazy_front(__name__, _FROM)
