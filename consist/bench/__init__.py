"""The bench: target weights, what to add to which car and where, and which cars come first.

What works a list out is loaded with its first use, so that a target alone needs none of NumPy, pandas and networkx.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.bench.results import BenchCar, BenchList, Choice, ExtraEngine, Status, Target, TrainAfter
from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.bench.listing import bench_cars, plan_bench

__all__ = [
    "BenchCar",
    "BenchList",
    "Choice",
    "ExtraEngine",
    "Status",
    "Target",
    "TrainAfter",
    "bench_cars",
    "plan_bench",
]

__getattr__ = lazy_front(__name__, dict.fromkeys(("bench_cars", "plan_bench"), "consist.bench.listing"))
