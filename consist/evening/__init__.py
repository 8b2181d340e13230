"""The whole evening: its trains checked, orders found, and everything that a report tells of it."""

from __future__ import annotations

from consist.evening.check import check, check_train
from consist.evening.orders import Choice, PlannedTrain, SessionOrders, find_order
from consist.evening.overview import Overview, TrainOverview, overview, train_overview
from consist.evening.results import SessionCheck, Suggestion, TrainCheck

__all__ = [
    "Choice",
    "Overview",
    "PlannedTrain",
    "SessionCheck",
    "SessionOrders",
    "Suggestion",
    "TrainCheck",
    "TrainOverview",
    "check",
    "check_train",
    "find_order",
    "overview",
    "train_overview",
]
