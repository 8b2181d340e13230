"""The bench: target weights, what to add to which car and where, and which come first; here the results alone."""

from __future__ import annotations

from consist.bench.results import BenchCar, BenchList, Choice, ExtraEngine, Status, Target, TrainAfter

__all__ = ["BenchCar", "BenchList", "Choice", "ExtraEngine", "Status", "Target", "TrainAfter"]
