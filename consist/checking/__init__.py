"""Checking: the rooms called in turn, from a session to the results that reports show."""

from __future__ import annotations

from consist.checking.check import Progress, check, check_train
from consist.checking.order_choice import Choice
from consist.checking.ordering import plan_train
from consist.checking.results import SessionCheck, Suggestion, TrainCheck
from consist.checking.session_orders import PlannedTrain, SessionOrders, plan_session

__all__ = [
    "Choice",
    "PlannedTrain",
    "Progress",
    "SessionCheck",
    "SessionOrders",
    "Suggestion",
    "TrainCheck",
    "check",
    "check_train",
    "plan_session",
    "plan_train",
]
